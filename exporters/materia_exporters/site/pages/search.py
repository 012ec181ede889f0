"""The page that the search box leads to: what can be asked, and by which keys."""

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page


def search(book: Book) -> Page:
    """The search page."""
    return Page("search.html", "search.html", "Search", {"names": len(book.materia.names.names.text)})
