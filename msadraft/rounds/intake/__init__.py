"""Read a document that was edited elsewhere, and say what became of every paragraph."""
