"""Findings about a case: what stops signing, what needs a reason, what is worth knowing."""
