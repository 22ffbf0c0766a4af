"""One tree from the chosen clauses, and its numbers."""
