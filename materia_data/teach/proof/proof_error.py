"""What is said of notes that cannot be read."""


class ProofError(ValueError):
    """A file that cannot be read: the text says what, and what to do."""
