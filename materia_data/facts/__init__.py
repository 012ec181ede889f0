"""Facts: columns to effective facts, and patterns over them. Imports `read`."""
