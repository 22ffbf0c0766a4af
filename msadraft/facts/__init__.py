"""What the parties told us: the models of the facts and their loader. No computing, no wording."""
