"""The history of a case on disk."""
