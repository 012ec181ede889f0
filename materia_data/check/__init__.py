"""Checking: rules and checks to problems, and problems to reports. Imports `read` and `facts`."""
