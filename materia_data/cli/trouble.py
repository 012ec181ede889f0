"""Trouble that a verb foresees and says in a sentence."""


class Trouble(Exception):
    """Something stops the verb: its text says what, and what to do. Exit 2."""
