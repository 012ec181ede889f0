"""Facts written out in the many ways of schools, and read back: nothing of safety comes back as something else.

The ways of writing are common practice, no source; each knows what it means, so that what is read can be compared.
"""

import random
from typing import Any

from materia_data.change.adopt.cells import Asked, read_cell
from materia_data.change.adopt.doses import Known
from materia_data.change.adopt.identity import Identifier
from materia_data.change.adopt.sheets import tidy

STATES = {
    "contraindicated": [
        "contraindicated in {}",
        "Forbidden in {}",
        "{}: contraindicated",
        "{}禁用",
        "禁用于{}",
        "do not use in {}",
    ],
    "avoid": ["avoid in {}", "Avoid with {}", "{} - avoid", "{}忌用", "{}忌服", "{}不宜用", "not recommended in {}"],
    "caution": [
        "caution in {}",
        "Use with caution in {}",
        "{} (caution)",
        "{}慎用",
        "{}者慎服",
        "care in {}",
        "caution w/ {}",
    ],
}
WHOM = {
    ("pregnancy", ""): ["pregnancy", "preg.", "pregnant women", "孕妇", "妊娠", "妊娠期"],
    ("lactation", ""): ["breastfeeding", "lactation", "哺乳期"],
    ("children", ""): ["children", "儿童", "小儿"],
    ("pattern", "yin-deficiency-heat"): ["yin def heat", "Yin deficiency with heat", "阴虚火旺"],
    ("pattern", "spleen-stomach-cold"): ["cold Sp/St", "spleen-stomach deficiency cold", "脾胃虚寒"],
    ("pattern", "loose-stool"): ["loose stools", "便溏", "diarrhea"],
    ("drug", "warfarin"): ["warfarin", "华法林"],
    ("drug", "anticoagulants"): ["blood thinners", "anticoagulants", "抗凝药"],
    ("condition", "hypertension"): ["high BP", "hypertension", "高血压"],
}
DISTURB = [
    ("{} unless processed", False), ("{}?", False), ("{} in large doses", False), ("not {}", False),
    ("{} (raw)", False), ("{}; moves blood", False), ("maybe {}", False), ("{} without heat", False),
    ("{}.", True), ("  {}  ", True),
]  # fmt: skip
ROUTES = {
    "decoction": ["{}", "{} (decoction)", "煎服，{}", "decoction {}", "{}, in decoction"],
    "powder": ["{} powder", "研末服{}", "{}, as powder", "powder: {}"],
    "pill": ["{} in pills", "入丸散，{}", "pills {}"],
    "external": ["{} external", "外用{}", "externally {}"],
}
RANGES = ["{}-{}g", "{}～{}克", "{} to {} grams", "{}—{} g", "{}g-{}g", "{} – {} gm"]


def _said(identifier: Identifier, text: str, role: str, known: Known) -> tuple[set[tuple[str, ...]], bool]:
    """What is said of safety without a question, and whether anything is asked."""
    readings = read_cell(identifier, Asked(tidy(text), (role,), "", "", "", known))
    says = {one for reading in readings if reading.sure for one in reading.says}
    cells = {tuple(value for _, value in one.cells if value) for one in says if one.table in ("cautions", "doses")}
    return cells, any(not reading.sure for reading in readings)


def test_cautions_come_back_as_they_were_meant_or_as_a_question(identifier: Identifier, record_property: Any) -> None:
    """Of 3,000 cautions in many ways, alone and in pairs, none is read as another; nine in ten are read unasked. One
    with something beside it that may change it is never taken without a question."""
    chance = random.Random(20261125)
    plain = taken = 0
    for _ in range(3000):
        meant, parts = set(), []
        for about in chance.sample(sorted(WHOM), chance.choice([1, 1, 2])):
            state = chance.choice(sorted(STATES))
            parts.append(chance.choice(STATES[state]).format(chance.choice(WHOM[about])))
            meant.add(tuple(filter(None, (*about, state))))
        text = chance.choice(["; ", "；", "\n", ", ", "，", ". "]).join(parts)
        harmless = True
        if chance.random() < 0.3:
            way, harmless = chance.choice(DISTURB)
            text = way.format(text)
        said, asked = _said(identifier, text, "cautions", Known(()))
        assert said <= meant, f"{text!r} was read as {said}"
        if harmless:
            plain, taken = plain + 1, taken + (said == meant)
        else:
            assert asked, f"{text!r} was taken without a question"
    record_property("sample", f"{taken} of {plain} plain cautions read unasked")
    assert taken / plain > 0.9


def test_doses_come_back_as_they_were_meant_or_as_a_question(identifier: Identifier, record_property: Any) -> None:
    """Of 2,000 doses in many ways, alone and in pairs, none is read as another amount or another way of use."""
    chance = random.Random(20261126)
    known = Known((("decoction", "3", "9", "g"),))
    taken = 0
    for _ in range(2000):
        meant, parts = set(), []
        for route in chance.sample(sorted(ROUTES), chance.choice([1, 1, 2])):
            low = chance.choice([0.3, 1, 1.5, 3, 6, 10])
            high = low * chance.choice([2, 3])
            amount = chance.choice(RANGES).format(f"{low:g}", f"{high:g}")
            parts.append(chance.choice(ROUTES[route]).format(amount))
            meant.add((route, "day", "adult", f"{low:g}", f"{high:g}", "g"))
        text = chance.choice(["; ", "；", "\n", " / "]).join(parts)
        said, asked = _said(identifier, text, "dose", known)
        assert said <= meant, f"{text!r} was read as {said}"
        assert asked or said == meant, f"{text!r}: something of it was lost"
        taken += said == meant
    record_property("sample", f"{taken} of 2000 doses read unasked")
    assert taken / 2000 > 0.9
