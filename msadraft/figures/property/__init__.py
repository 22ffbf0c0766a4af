"""Property and debts: whose they are, what part is whose, and what makes the division equal."""
