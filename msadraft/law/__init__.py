"""The law's own numbers, dated, as data."""
