"""How certain it is: what the marks mean, how many values were read in a source, and what nobody has checked."""

from collections import Counter

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.words import capital

_BASES = ("collated", "memory", "common-practice")


def about(book: Book, reasons: Reasons, count: Counter[tuple[str, str]]) -> Page:
    """The page on certainty. Its prose is `theme/about.md`. count: values by source and basis."""
    bases: Counter[str] = Counter()
    for (_, basis), number in count.items():
        bases[basis] += number if basis else 0
    cautions: Counter[str] = Counter(row["basis"] for row in book.rows("cautions"))
    herbs = book.herbs
    spoken_of = [{dict(fact.qualifiers).get("topic") for fact in book.of(herb, "caution")} for herb in herbs]
    topics = []
    for topic in book.tables["topics"].columns["id"]:
        spoken = sum(topic in said for said in spoken_of)
        topics.append((capital(book.label("topics", topic)), spoken, len(herbs) - spoken))
    values = {
        "bases": [(basis, bases[basis], cautions[basis]) for basis in _BASES],
        "total": sum(bases.values()),
        "caution_total": sum(cautions.values()),
        "topics": sorted(topics, key=lambda topic: -topic[1]),
        "herbs": len(herbs),
        "reasons": reasons.counts,
    }
    return Page("about.html", "about.html", "How certain", values)
