"""Every rule with its reason, its measure and its exceptions."""

from typing import Any

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.words import capital, plain


def rules(book: Book, reasons: Reasons) -> Page:
    """The page of rules, by theme as the rule files have them, and of all exceptions."""
    themes: dict[str, list[dict[str, Any]]] = {}
    for rule, measure in reasons.rules.values():
        theme = capital(plain(rule.file.rpartition("/")[2].removesuffix(".toml")))
        names = {
            key: [book.name(book.facts.subjects[number]) for number in sorted(getattr(measure, key))]
            for key in ("contradicted", "unstated")
        }
        themes.setdefault(theme, []).append(
            {
                "rule": rule,
                "measure": measure,
                "names": names,
                "exceptions": _exceptions(book, rule.id),
                "told": [book.told({"source": rule.source, "locator": rule.locator, "basis": rule.basis})],
            }
        )
    others = [row["rule"] for row in book.rows("exceptions") if row["rule"] not in reasons.rules]
    values = {
        "themes": list(themes.items()),
        "count": len(reasons.rules),
        "counts": reasons.counts,
        "checks": [(check, _exceptions(book, check)) for check in dict.fromkeys(others)],
    }
    return Page("rules.html", "rules.html", "Rules and exceptions", values)


def _exceptions(book: Book, rule: str) -> list[dict[str, Any]]:
    return [
        row
        | {
            "name": book.name(row["subject"]),
            "told": [book.told({"source": row["source"], "locator": "", "basis": ""})],
        }
        for row in book.rows("exceptions", "rule", rule)
    ]
