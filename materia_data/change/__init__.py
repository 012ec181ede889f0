"""Changing: canonical files and new records. Imports `read` and `facts`."""
