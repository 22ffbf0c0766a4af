"""What follows from the facts: pure functions, each result with its working."""
