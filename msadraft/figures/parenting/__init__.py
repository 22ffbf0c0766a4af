"""Parenting time: the plan of the parents laid out over the calendar, and what it comes to."""
