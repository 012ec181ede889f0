"""Names in every dress they come in: stored names indexed, a text looked up. Imports from read, and the readings of
check."""
