"""Names: Latin of the pharmacopoeia, names that two subjects share, names stored twice."""

from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from itertools import islice

from materia_data.check.checks._subjects import graded_toxic, herb_of, withdrawn
from materia_data.check.registry import check
from materia_data.check.rows import Row, rows
from materia_data.facts.facts import Facts
from materia_data.problem import Problem
from materia_data.read.package import Package

_PART_WORDS = """
    ALABASTRUM ARILLUS BULBUS CACUMEN CALYX CARAPAX CAULIS COLLA CONCHA CONCRETIO CORNU COROLLA CORTEX CRINIS CUTIS
    ENDOCONCHA ENDOTHELIUM EPIDERMIS EXOCARPIUM EXUVIA FEL FLOS FOLIUM FRUCTUS GEMMA GERMEN HERBA INFLORESCENTIA LAPIS
    LIGNUM MEDULLA MESOCARPIUM NIDUS NODUS OOTHECA PEDUNCULUS PERICARPIUM PERIOSTRACUM PETIOLUS PLASTRUM PLUMULA POLLEN
    RADIX RAMULUS RECEPTACULUM RESINA RETINERVUS RHIZOMA SEMEN SPICA SPINA SPORA SQUAMA STAMEN STIGMA STOLO
    STROBILUS TESTA THALLUS TUBER
"""
_NOT_DECLINED = """
    CHUANXIONG GENKWA GINKGO GINSENG KAKI KANSUI LITCHI LONGAN MARGARITIFERA MUME NOTOGINSENG SAPPAN TOOSENDAN TSAOKO
"""
_PARTS = frozenset(_PART_WORDS.split())
_UNDECLINED = frozenset(_NOT_DECLINED.split())
_NOMINATIVE = ("A", "UM", "US", "OS")
_SHOWN = 5
_MARK = (
    "Mark it generic (one old name not told apart) or joint (one name for several), or delete the row that is wrong."
)
_MARKED = ("joint", "generic")
_UNCERTAIN = ("romanisation", "misspelling")
_STANDARD = ("name_hans", "name_hant", "name_en", "latin")
_LANGS = {"name_hans": "zh-Hans", "name_hant": "zh-Hant", "name_en": "en", "latin": "la"}


@check(
    id="latin-form",
    scope="herbs",
    severity="warning",
    why=(
        "Labels and customs papers carry the pharmacopoeia's Latin: capitals, the plant in the genitive, then the part."
    ),
    passes=[
        {"latin": "RHEI RADIX ET RHIZOMA"},
        {"latin": "ACONITI LATERALIS RADIX PRAEPARATA"},
        {"latin": "GINSENG RADIX ET RHIZOMA"},
        {"latin": "GYPSUM FIBROSUM"},
        {"latin": "MANTIDIS OÖTHECA"},
        {"latin": "SEPIAE ENDOCONCHA"},
        {"latin": "MARGARITIFERA CONCHA"},
        {"latin": "DESCURAINIAE SEMEN LEPIDII SEMEN"},
        {"latin": ""},
    ],
    fails=[
        {"latin": "Rhei Radix et Rhizoma"},
        {"latin": "RADIX RHEI"},
        {"latin": "ANGELICA RADIX"},
        {"latin": "PAEONIAE RADYX ALBA"},
        {"latin": "RHEI  RADIX"},
    ],
)
def latin_form(herbs: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each Latin name that is not formed as the Chinese Pharmacopoeia 2020 forms them.

    Names without a part word (PORIA, GYPSUM FIBROSUM, ARISAEMA CUM BILE) are left alone unless a word is nearly one.
    """
    for herb in herbs:
        latin = str(herb.latin)
        if not latin:
            continue
        plain = latin.replace("Ö", "O")
        words = plain.split(" ")
        right = " ".join(latin.upper().split())
        if latin != right or not latin.replace(" ", "").replace("-", "").isalpha() or not plain.isascii():
            yield herb.problem(
                "latin", f"{right} is not written in plain capitals with single blanks.", tip=f"Write {right}."
            )
        elif words[0] in _PARTS and len(words) > 1:
            turned = " ".join([*words[1:], words[0]])
            yield herb.problem(
                "latin", f"{latin} begins with the part.", tip=f"Write {turned}: the plant, then the part."
            )
        elif strange := _nearly_part(words):
            yield herb.problem(
                "latin", f"{strange[0]} is no part of a plant or animal.", tip=f"Did you mean {strange[1]}?"
            )
        elif _part_follows(words) and words[0].endswith(_NOMINATIVE) and words[0] not in _UNDECLINED:
            yield herb.problem(
                "latin", f"{words[0]} is not in the genitive.", tip="Write the genitive: -AE, -I or -IS."
            )


@check(
    id="name-for-two-subjects-one-harmful",
    scope="facts",
    severity="error",
    why="One name for two medicinals, one of them toxic or withdrawn, is how people are poisoned.",
    safety=True,
    passes=[
        {"names": [_n | {"subject": subject} for subject in ("demo-leaf", "demo-root")]}
        for _n in (
            {"name": "示例物", "lang": "zh-Hans", "kind": "generic"},
            {"name": "the pair", "lang": "en", "kind": "joint"},
        )
    ]
    + [{"names": [{"subject": "demo-root.zhi", "name": "示例根块", "lang": "zh-Hans", "kind": "old"}]}],
    fails=[
        {
            "names": [
                {"subject": "demo-leaf", "name": "示例物", "lang": "zh-Hans", "kind": "trade"},
                {"subject": "demo-root", "name": "示例物", "lang": "zh-Hans", "kind": "generic"},
            ]
        },
        {"names": [{"subject": "demo-seed", "name": "Demo Root", "lang": "en", "kind": "alternate"}]},
        {
            "herbs": [{"id": "demo-leaf", "status": "withdrawn"}],
            "names": [{"subject": "demo-seed", "name": "示例葉", "lang": "zh-Hant", "kind": "old"}],
        },
    ],
)
def name_for_two_subjects_one_harmful(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each unmarked name that also means another medicinal, when either is toxic or withdrawn."""
    for row, others, harmful in _shared_names(facts):
        if harmful:
            yield row.problem("name", _shared(row, others), tip=_MARK)


@check(
    id="name-for-two-subjects",
    scope="facts",
    severity="warning",
    why="Whoever looks the name up must be told that it has two meanings.",
    passes=[
        {
            "names": [
                {"subject": "demo-leaf", "name": "示例物", "lang": "zh-Hans", "kind": "generic"},
                {"subject": "demo-seed", "name": "示例物", "lang": "zh-Hans", "kind": "generic"},
            ]
        },
        {
            "names": [
                {"subject": "demo-leaf", "name": "shih-li", "lang": "zh-Latn", "kind": "romanisation"},
                {"subject": "demo-seed", "name": "shih-li", "lang": "zh-Latn", "kind": "romanisation"},
            ]
        },
    ],
    fails=[
        {"names": [{"subject": "demo-seed", "name": "demo mint", "lang": "en", "kind": "trade"}]},
        {"names": [{"subject": "demo-seed", "name": "示例叶", "lang": "zh-Hans", "kind": "old"}]},
    ],
)
def name_for_two_subjects(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each unmarked name that also means another medicinal, both harmless. Sounds alike are no
    names alike."""
    for row, others, harmful in _shared_names(facts):
        if not harmful and row.kind not in _UNCERTAIN:
            yield row.problem("name", _shared(row, others), tip=_MARK)


@check(
    id="standard-name-repeated",
    scope="package",
    severity="error",
    why="A name kept in two places is corrected in one of them.",
    passes=[
        {"names": [{"subject": "demo-leaf", "name": "示例草", "lang": "zh-Hans", "kind": "old"}]},
        {
            "herbs": [{"id": "demo-leaf", "latin": "TALCUM"}],
            "names": [{"subject": "demo-leaf", "name": "talcum", "lang": "en", "kind": "trade"}],
        },
    ],
    fails=[
        {"names": [{"subject": "demo-leaf", "name": "示例叶", "lang": "zh-Hans", "kind": "alternate"}]},
        {"names": [{"subject": "demo-root.zhi", "name": "Prepared demo root", "lang": "en", "kind": "trade"}]},
    ],
)
def standard_name_repeated(package: Package) -> Iterator[Problem]:
    """Yield a problem for each row of names that repeats its subject's standard name in the same language."""
    standard: dict[tuple[str, str, str], str] = {}
    for name in ("herbs", "forms", "formulas"):
        columns = package.tables[name].columns
        for column in _STANDARD:
            for id, text in zip(columns["id"], columns.get(column, ()), strict=False):
                if text:
                    standard.setdefault((id, _LANGS[column], text.casefold()), f"{name}.{column}")
    for row in rows(package.tables["names"]):
        found = standard.get((row.subject, row.lang, row.name.casefold()))
        if found:
            yield row.problem(
                "name", f"{row.subject} has {row.name} as its standard name in {found}.", tip="Delete this row."
            )


def _shared_names(facts: Facts) -> Iterator[tuple[Row, list[str], bool]]:
    """Rows of names that are not marked, each with the other medicinals that have the name, and whether one is harmful.

    A form is no other medicinal than its herb.
    """
    meant: dict[str, dict[str, str]] = {}
    for name in ("herbs", "forms", "formulas"):
        columns = facts.package.tables[name].columns
        for column in _STANDARD:
            for id, text in zip(columns["id"], columns.get(column, ()), strict=False):
                if text:
                    meant.setdefault(text.casefold(), {}).setdefault(herb_of(facts, id), id)
    columns = facts.package.tables["names"].columns
    for subject, text in zip(columns["subject"], columns["name"], strict=True):
        meant.setdefault(text.casefold(), {}).setdefault(herb_of(facts, subject), subject)
    toxic, judged = graded_toxic(facts), dict[str, bool]()
    for row in rows(facts.package.tables["names"]):
        name = row.name.casefold()
        if len(meant[name]) == 1 or row.kind in _MARKED:
            continue
        if name not in judged:
            judged[name] = any(one in toxic or withdrawn(facts, one) for one in meant[name].values())
        own = herb_of(facts, row.subject)
        few = islice((subject for herb, subject in meant[name].items() if herb != own), _SHOWN)
        yield row, [*few, *_more(len(meant[name]) - 1 - _SHOWN)], judged[name]


def _more(number: int) -> list[str]:
    return [f"{number} more"] if number > 0 else []


def _shared(row: Row, others: list[str]) -> str:
    return f"{row.name} is {row.subject}, and {', '.join(others)} as well."


def _nearly_part(words: list[str]) -> tuple[str, str] | None:
    if _PARTS.intersection(words):
        return None
    for word in words[1:]:
        near = get_close_matches(word, _PARTS, n=1, cutoff=0.75)
        if near and len(word) > 3:
            return word, near[0]
    return None


def _part_follows(words: list[str]) -> bool:
    return any(word in _PARTS for word in words[1:3])
