"""The checks written in Python, a module a theme. A new module here is found by itself."""
