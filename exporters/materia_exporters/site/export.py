"""The reference site: every category, medicinal and formula with its cautions, reasons and sources, to read offline."""

from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from materia_data import Materia, schema_root
from materia_exporters.site.assets import RELEASE, assets
from materia_exporters.site.book import Book, slug
from materia_exporters.site.history import History
from materia_exporters.site.host import host
from materia_exporters.site.keys import Keys, digest
from materia_exporters.site.lay import Laid, lay
from materia_exporters.site.page import Page, Plan
from materia_exporters.site.pages.about import about
from materia_exporters.site.pages.across import across
from materia_exporters.site.pages.browse import browse
from materia_exporters.site.pages.category import apart, category, group, has_apart, members_of
from materia_exporters.site.pages.changes import changes
from materia_exporters.site.pages.compare import compare
from materia_exporters.site.pages.dangers import dangers
from materia_exporters.site.pages.formula import formula
from materia_exporters.site.pages.home import home
from materia_exporters.site.pages.lesson import Lessons
from materia_exporters.site.pages.lists import formulas, medicinals
from materia_exporters.site.pages.medicinal import medicinal
from materia_exporters.site.pages.moved import moved
from materia_exporters.site.pages.rules import rules
from materia_exporters.site.pages.search import search
from materia_exporters.site.pages.sources import sources
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.search.facets import facets_script
from materia_exporters.site.search.facts import facts_scripts
from materia_exporters.site.search.names import names_script
from materia_exporters.site.sections.layers import all_layers
from materia_exporters.site.settings import settings
from materia_exporters.site.store import Store
from materia_exporters.site.tally import tally
from materia_exporters.site.words import TEACHING

_THEME = Path(__file__).parent / "theme"


def export(materia: Materia, out: Path, options: Mapping[str, Any]) -> None:
    """Write the site into the folder `out`: open `index.html`, from disk or from any server.

    options: `site_url`, where it will stand; `corrections`, where a mistake is reported; `releases` (yes), a folder for
    this release beside `latest`; `previous`, the folder of the data released before. Raises ValueError for others.
    The same data gives the same bytes. Nothing is fetched when it is built or read.
    """
    write_site(materia, out, options)


export.summary = "a reference site to read offline: search, categories, medicinals, formulas, rules"  # type: ignore[attr-defined]


def write_site(materia: Materia, out: Path, options: Mapping[str, Any]) -> Laid:
    """As `export`, and say which pages there are and which had to be rendered."""
    asked = settings(options)
    book = Book(materia)
    keys = Keys(book)
    store = Store(materia.package.root, options)
    reasons = Reasons(book, keys, store)
    history = History(book, asked.previous)
    inner = out / materia.release_id.replace("+", "-") if asked.releases else out
    release = f"{materia.release_id}, {materia.signed_off}"
    common = {
        "settings": asked,
        "release": RELEASE,
        "layers": all_layers(book),
        "rule_at": reasons.href,
        "superseded": [(row, book.row("sources", row["superseded_by"])) for row in book.superseded],
    }
    scripts = {
        "js/names.js": names_script(book),
        "js/facets.js": facets_script(book),
        **facts_scripts(book),
        "css/release.css": _margin_box(release),
    }
    words = {"release": release}
    for name, (written, data) in assets(_THEME, scripts).items():
        words[name] = written
        (inner / written).parent.mkdir(parents=True, exist_ok=True)
        (inner / written).write_bytes(data)
    (inner / "context.jsonld").write_bytes((schema_root() / "context.jsonld").read_bytes())
    laid = lay(_pages(book, keys, reasons, history, store), common, words, store, inner)
    store.close(laid.pages)
    host(out, inner, asked, laid.pages)
    return laid


def _pages(book: Book, keys: Keys, reasons: Reasons, history: History, store: Store) -> Iterator[Plan | Page]:
    yield home(book)
    yield from medicinals(book)
    yield from formulas(book)
    yield search(book)
    yield browse(book)
    yield compare(book)
    yield from across(book)
    yield from dangers(book)
    yield from rules(book, reasons)
    count = tally(book, keys, store)
    yield sources(book, count)
    yield about(book, reasons, count)
    yield changes(book, history)
    yield from moved(book)
    yield from _lessons(book, keys, reasons, store)
    for herb in book.herbs:
        made_from = digest(keys.of([herb]), reasons.key(herb), repr(history.of([herb])))
        yield Plan(book.href(herb), made_from, partial(medicinal, book, reasons, history, herb))
    for id in book.formulas:
        made_from = digest(keys.of([id]), repr(history.of([id])))
        yield Plan(book.href(id), made_from, partial(formula, book, history, id))


def _lessons(book: Book, keys: Keys, reasons: Reasons, store: Store) -> Iterator[Plan]:
    lessons = Lessons(book, reasons)
    if kept := store.thing("lessons", keys.taught):
        lessons.kept(kept)
    else:
        store.keep_thing("lessons", keys.taught, lessons.all())
    for row in book.categories:
        also = [herb for herb in book.herbs if row["id"] in book.row("herbs", herb)["also_in"].split(";")]
        inputs = keys.of([*members_of(book, row), *also], row["id"], keys.taught.hex())
        yield Plan(f"categories/{slug(row['id'])}.html", inputs, partial(category, book, lessons, row))
        if row["scheme"] != "formulas" and has_apart(book, "categories", row):
            path = f"categories/{slug(row['id'])}-apart.html"
            yield Plan(path, inputs, partial(apart, book, lessons, "categories", row))
        if row["id"] in book.divided:
            for one in book.groups(row["id"]):
                yield Plan(f"groups/{slug(one['id'])}.html", inputs, partial(group, book, lessons, one))
                if has_apart(book, "groups", one):
                    yield Plan(
                        f"groups/{slug(one['id'])}-apart.html", inputs, partial(apart, book, lessons, "groups", one)
                    )


def _margin_box(release: str) -> str:
    """The style sheet that prints release and teaching line at the foot of each sheet; the text as a CSS string."""
    text = "".join(
        char if char.isalnum() or char in " .,;+-" else f"\\{ord(char):06x}" for char in f"{release} · {TEACHING}"
    )
    return f'@page{{@bottom-left{{content:"{text}"}}}}\n'
