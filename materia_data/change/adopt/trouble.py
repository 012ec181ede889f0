"""What makes a sheet or a mapping unreadable."""


class AdoptError(ValueError):
    """A file that cannot be adopted: says where, what and what to do."""
