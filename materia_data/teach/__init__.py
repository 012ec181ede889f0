"""Teaching: what a teacher asks of the facts. Imports `read`, `facts`, and the rules and measures of `check`."""
