"""What keeps a spreadsheet from being written or read."""


class SpreadsheetError(ValueError):
    """The whole file cannot be used: its text says what, why, and what to do."""


def need(library: str) -> SpreadsheetError:
    """The error of a library that is not installed."""
    return SpreadsheetError(
        f"spreadsheets need the library {library}, which is not installed. Install it: "
        "pip install 'materia-data[spreadsheet]'"
    )
