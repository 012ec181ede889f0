"""Every rule with its reason, its measure and its exceptions: a page for each theme, and one that leads to them."""

from collections.abc import Iterator
from typing import Any

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page
from materia_exporters.site.reasons import Reasons, theme_path
from materia_exporters.site.words import capital, plain


def rules(book: Book, reasons: Reasons) -> Iterator[Page]:
    """The page of all themes and of exceptions to checks, then the page of each theme, as the rule files have them."""
    themes: dict[str, dict[str, Any]] = {}
    for rule, measure in reasons.rules.values():
        path = theme_path(rule)
        title = capital(plain(rule.file.rpartition("/")[2].removesuffix(".toml")))
        names = {
            key: [book.name(book.facts.subjects[number]) for number in sorted(getattr(measure, key))]
            for key in ("contradicted", "unstated")
        }
        theme = themes.setdefault(path, {"path": path, "title": title, "rules": []})
        theme["rules"].append(
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
        "themes": list(themes.values()),
        "count": len(reasons.rules),
        "counts": reasons.counts,
        "checks": [(check, _exceptions(book, check)) for check in dict.fromkeys(others)],
    }
    yield Page("rules.html", "rules.html", "Rules and exceptions", values)
    for theme in themes.values():
        yield Page(theme["path"], "theme.html", f"Rules: {theme['title']}", theme)


def _exceptions(book: Book, rule: str) -> list[dict[str, Any]]:
    return [
        row
        | {
            "name": book.name(row["subject"]),
            "told": [book.told({"source": row["source"], "locator": "", "basis": ""})],
        }
        for row in book.rows("exceptions", "rule", rule)
    ]
