"""The clause library: read, decide, prove."""
