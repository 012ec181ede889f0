"""Layers: what a school says differently, read from its own folder and put over a base. Source: semantics.md, 6."""
