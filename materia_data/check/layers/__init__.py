"""Layers judged: each against what lies beneath it, and against what the base said when it was written.

May import `read`, `facts`, the rest of `check`. Source: semantics.md, 6.
"""
