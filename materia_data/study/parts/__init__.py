"""The sections of a sheet, a module a theme; each gives sections, empty ones left out by the sheet."""
