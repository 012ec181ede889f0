"""Ids: what a reader may expect of them."""

import re
from collections.abc import Iterator

from materia_data.check.checks._scripts import toneless
from materia_data.check.registry import check
from materia_data.problem import Problem
from materia_data.read.package import Package

_INVENTED = ("x-", "demo-")


@check(
    id="id-against-pinyin",
    scope="package",
    severity="error",
    why="Whoever knows the name types its reading and expects to land there.",
    passes=[
        {"herbs": [{"id": "nu-zhen-zi", "name_hans": "女贞子", "name_hant": "女貞子", "pinyin": "nǚ zhēn zǐ"}]},
        {"herbs": [{"id": "x-school-kelp", "name_hans": "昆布", "name_hant": "昆布", "pinyin": "kūn bù"}]},
        {
            "herbs": [
                {"id": "shi-hu", "name_hans": "石斛", "name_hant": "石斛", "pinyin": "shí hú"},
                {"id": "shi-hu-tree", "name_hans": "柿糊", "name_hant": "柿糊", "pinyin": "shì hú"},
            ]
        },
        {"forms": [{"id": "demo-leaf.chao", "herb": "demo-leaf"}]},
    ],
    fails=[
        {"herbs": [{"id": "nv-zhen-zi", "name_hans": "女贞子", "name_hant": "女貞子", "pinyin": "nǚ zhēn zǐ"}]},
        {"formulas": [{"id": "bu-tang", "name_hans": "补汤", "name_hant": "補湯", "pinyin": "pǔ tāng"}]},
        {"herbs": [{"id": "shi-hu-tree", "name_hans": "柿糊", "name_hant": "柿糊", "pinyin": "shì hú"}]},
        {"forms": [{"id": "demo-seed.chao", "herb": "demo-leaf"}]},
    ],
)
def id_against_pinyin(package: Package) -> Iterator[Problem]:
    """Yield a problem for each herb or formula whose id is not its reading without tones, and each form not under its
    herb.

    A suffix after the reading is for subjects that share one. Ids of layers (`x-`) and of invented examples (`demo-`)
    are free.
    """
    read: dict[str, int] = {}
    for name in ("herbs", "formulas"):
        for pinyin in package.tables[name].columns["pinyin"]:
            read[toneless(pinyin)] = read.get(toneless(pinyin), 0) + 1
    for name in ("herbs", "formulas"):
        table = package.tables[name]
        for row, (id, pinyin) in enumerate(zip(table.columns["id"], table.columns["pinyin"], strict=True)):
            expected = re.sub("[0-9]", "", toneless(pinyin))
            if not expected or id == expected or id.startswith(_INVENTED):
                continue
            shared = read[expected] > 1
            if shared and id.startswith(f"{expected}-"):
                continue
            tip = f"Write {expected}, or correct the reading; an id that was published goes to record/retired.csv."
            if shared:
                tip = f"Write {expected} and after a hyphen a word that tells it from the other {expected}."
            yield table.problem(row, "id", "", f"The id is not the reading {pinyin} without its tones.", tip=tip)
    forms = package.tables["forms"]
    for row, (id, herb) in enumerate(zip(forms.columns["id"], forms.columns["herb"], strict=True)):
        if herb and not id.startswith(f"{herb}."):
            tip = f"Write {herb}.{id.partition('.')[2] or 'suffix'}, or name the right herb."
            yield forms.problem(row, "id", "", f"The id of a form of {herb} does not begin with “{herb}.”.", tip=tip)
