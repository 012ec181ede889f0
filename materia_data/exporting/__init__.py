"""Exporting: runs exporters, each in a process of its own, and puts what they made into place whole.

Imports `read`, `facts`, `check` and the package itself; only `cli` and `testing` import this room. It keeps accidents
apart; it is no sandbox: an exporter can do whatever its user can.
"""
