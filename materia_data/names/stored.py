"""Every name that the tables hold of a subject."""

from collections.abc import Iterator
from typing import NamedTuple

from materia_data.read.package import Package

_CELLS = {
    "id": ("", "the id"),
    "name_hans": ("zh-Hans", "the name"),
    "name_hant": ("zh-Hant", "the name"),
    "pinyin": ("zh-Latn", "the reading"),
    "name_en": ("en", "the English name"),
    "latin": ("la", "the Latin name"),
}


class Name(NamedTuple):
    """A name of a subject. lang: as in the table, empty for an id; kind: that of the table of names, `standard` for
    the cells of herbs, forms and formulas, `species` for an official species; what: how to speak of it."""

    subject: str
    text: str
    lang: str
    kind: str
    what: str


def stored_names(package: Package) -> Iterator[Name]:
    """Standard names first, then the table of names, then official species without their authors."""
    for table in ("herbs", "forms", "formulas"):
        columns = package.tables[table].columns
        for column, (lang, what) in _CELLS.items():
            for subject, text in zip(columns["id"], columns.get(column, ()), strict=False):
                if text:
                    yield Name(subject, text, lang, "standard", what)
    names = package.tables["names"].columns
    for subject, text, lang, kind in zip(names["subject"], names["name"], names["lang"], names["kind"], strict=True):
        if text and package.subject_table(subject):
            yield Name(subject, text, lang, kind, f"the {kind} name")
    yield from _species(package)


def _species(package: Package) -> Iterator[Name]:
    taxa = package.tables["taxa"].columns
    latin = dict(zip(taxa["id"], taxa["name_latin"], strict=True))
    species = package.tables["species"].columns
    for subject, taxon, status in zip(species["subject"], species["taxon"], species["status"], strict=True):
        name = " ".join(latin.get(taxon, "").split()[:2])
        if name and status in ("official", "withdrawn") and package.subject_table(subject):
            yield Name(subject, name, "la", "species", "the species")
