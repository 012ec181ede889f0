"""The page to browse medicinals by their facts."""

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page


def browse(book: Book) -> Page:
    """The browse page; its choices come from `js/facets.js`."""
    return Page("browse.html", "browse.html", "Browse by facts", {"count": len(book.herbs)})
