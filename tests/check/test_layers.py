"""Each layer judged against what lies beneath it: loosenings, exceptions, rules, drift (semantics.md §6)."""

import re
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from materia_data import load
from materia_data.change.tidy_layer import tidy_layer
from materia_data.check.run import check
from tests.layers import errors, layer, over, problems
from tests.little import little
from tests.ruletext import rule

ROOT = Path(__file__).parents[2]
LEAF = {"subject": "demo-leaf", "topic": "pregnancy", "basis": "memory"}
SAFE = rule(
    "explains",
    id="toxic-in-pregnancy",
    over=["herbs", "forms"],
    when="toxicity:toxic..",
    expect="caution:avoid..[topic:pregnancy]",
    holds=["toxicity:toxic and caution:avoid[topic:pregnancy]"],
    breaks=["toxicity:toxic"],
    safety=True,
    strength="must",
)


def loosening(**cells: str) -> dict[str, str]:
    """The row for demo-root's caution in pregnancy, contraindicated to avoid, changed as named."""
    return {
        "subject": "demo-root",
        "predicate": "caution",
        "qualifiers": "topic=pregnancy",
        "was": "contraindicated",
        "now": "avoid",
        "reason": "It is invented.",
        "source": "demo-book",
        "by": "course owner",
        "on_date": "2026-11-25",
    } | cells


ROOT_AVOID = {"subject": "demo-root", "topic": "pregnancy", "state": "avoid", "basis": "memory"}


@pytest.mark.parametrize(
    ("table", "row", "rule_id"),
    [
        ("cautions", LEAF | {"state": "avoid"}, "safety-strengthened"),
        ("cautions", LEAF | {"topic": "lactation", "state": "avoid"}, "safety-gained"),
        ("doses", {"subject": "demo-leaf", "max": "6", "basis": "memory"}, "safety-strengthened"),
        ("herbs", {"id": "demo-leaf", "status": "restricted", "basis": "memory"}, "safety-strengthened"),
        ("antagonisms", {"a": "demo-leaf", "b": "demo-root", "list": "other", "reading": "stated", "state": "avoid",
                         "basis": "memory"}, "safety-gained"),
    ],
)  # fmt: skip
def test_a_layer_may_tighten_freely(tmp_path: Path, table: str, row: dict[str, str], rule_id: str) -> None:
    """A tightening needs no row and is listed as a note in the layer's file."""
    key = {"route": "decoction", "per": "day", "population": "adult"} if table == "doses" else {}
    found = problems(over(tmp_path, **{table: [row | key]}))
    assert {one.severity for one in found} == {"note"}
    assert rule_id in {one.rule for one in found}


@pytest.mark.parametrize(
    ("table", "row", "rule_id"),
    [
        ("cautions", ROOT_AVOID, "safety-loosened"),
        ("cautions", {"subject": "demo-root", "topic": "pregnancy", "layer_op": "remove"}, "safety-lost"),
        ("herbs", {"id": "demo-root", "layer_clear": "toxicity"}, "safety-lost"),
        ("herbs", {"id": "demo-root", "toxicity": "slight", "basis": "memory"}, "safety-loosened"),
        ("herbs", {"id": "demo-root", "traits": "-", "basis": "memory"}, "safety-lost"),
        ("doses", {"subject": "demo-leaf", "max": "12", "basis": "memory"}, "safety-loosened"),
        ("doses", {"subject": "demo-root.zhi", "layer_clear": "max_days"}, "safety-lost"),
        ("handling", {"subject": "demo-root.zhi", "handling": "decoct-first", "minutes_min": "30", "basis": "memory"},
         "safety-loosened"),
        ("handling", {"subject": "demo-root.zhi", "handling": "decoct-first", "force": "usual", "basis": "memory"},
         "safety-lost"),
        ("forms", {"id": "demo-root.sheng", "inherits": "all", "toxicity": "none", "basis": "memory"}, ""),
        ("controls", {"subject": "demo-root.sheng", "instrument": "demo-law", "jurisdiction": "demoland",
                      "layer_op": "remove"}, "safety-lost"),
        ("antagonisms", {"a": "demo-kelp", "b": "demo-root", "list": "other", "layer_op": "remove"}, "safety-lost"),
    ],
)  # fmt: skip
def test_what_a_layer_loosens_or_hides_is_an_error(
    tmp_path: Path, table: str, row: dict[str, str], rule_id: str
) -> None:
    """Without its row in the layer's record/loosenings each is an error; an unconfirmed looser value simply fails to
    hold."""
    key = {"route": "decoction", "per": "day", "population": "adult"} if table == "doses" else {}
    materia = over(tmp_path, **{table: [row | key]})
    found = errors(materia)
    told = {one[0] for one in found if one[0].startswith("safety-")}
    assert rule_id in told if rule_id else not told
    assert bool(materia.all_loosened) is bool(rule_id)
    assert not any(one.recorded for one in materia.all_loosened)


def test_the_layers_own_ledger_names_the_loosening(tmp_path: Path) -> None:
    """With the row there is no error; the loosening still shows, with its reason, on the herb and its forms."""
    materia = over(tmp_path, cautions=[ROOT_AVOID], loosenings=[loosening()])
    assert errors(materia) == []
    (one,) = materia.loosened("demo-root")
    assert (one.layer, one.was, one.now, one.recorded) == ("second", "contraindicated", "avoid", True)
    assert (one.reason, one.source, one.by) == ("It is invented.", "demo-book", "course owner")
    assert "The second school says avoid, the base says contraindicated, because: It is invented." in one.words
    (form,) = materia.loosened("demo-root.zhi")
    assert form.inherited and form.recorded


def test_the_tip_holds_the_row_to_copy_and_the_file_to_put_it_in(tmp_path: Path) -> None:
    """The error of an unrecorded loosening points at the layer's cell and names the layer's ledger."""
    (found,) = (one for one in problems(over(tmp_path, cautions=[ROOT_AVOID])) if one.severity == "error")
    assert (found.file, found.line, found.column) == ("second:herbs/cautions.csv", 2, "state")
    assert "second:record/loosenings.csv: demo-root,caution,topic=pregnancy,contraindicated,avoid," in found.tip


def test_a_ledger_row_of_the_base_does_not_license_a_layer(tmp_path: Path) -> None:
    """The base's history covers nothing new."""
    base = little(tmp_path / "base", loosenings=[loosening()])
    assert "safety-loosened" in {
        one[0] for one in errors(load(base, [layer(tmp_path / "second", cautions=[ROOT_AVOID])]))
    }


@pytest.mark.parametrize(
    ("cells", "rule_id"),
    [
        ({"was": "caution"}, "loosening-was-otherwise"),
        ({"now": "caution"}, "loosening-is-otherwise"),
        ({"subject": "demo-leaf", "was": "caution", "now": "none-stated"}, "loosening-not-made"),
    ],
)
def test_a_ledger_row_that_names_nothing_is_an_error(tmp_path: Path, cells: dict[str, str], rule_id: str) -> None:
    """A row of the layer's ledger must name exactly what the layer loosens."""
    found = errors(over(tmp_path, cautions=[ROOT_AVOID], loosenings=[loosening(), loosening(**cells)]))
    assert [(one[0], one[1]) for one in found] == [(rule_id, "second:record/loosenings.csv")]


def test_each_layer_is_compared_with_what_lies_beneath(tmp_path: Path) -> None:
    """A second layer that takes back what the first tightened loosens it, though not as against the base."""
    first = layer(tmp_path / "a", id="first", cautions=[LEAF | {"state": "contraindicated"}])
    later = layer(tmp_path / "b", id="later", cautions=[LEAF | {"state": "avoid"}])
    materia = load(little(tmp_path / "base"), [first, later])
    found = [one for one in errors(materia) if one[0].startswith("safety")]
    assert found == [("safety-loosened", "later:herbs/cautions.csv", 2, "state")]
    assert [(one.layer, one.was, one.now) for one in materia.loosened("demo-leaf")] == [
        ("later", "contraindicated", "avoid")
    ]


def test_a_new_form_of_a_layer_is_compared_with_its_herb(tmp_path: Path) -> None:
    """A form that a layer adds and that says less than its herb is a loss."""
    form = {"id": "demo-root.x-second-new", "herb": "demo-root", "kind": "prepared", "inherits": "all",
            "toxicity": "none", "name_hans": "新示例根", "name_hant": "新示例根", "pinyin": "xīn shì lì gēn",
            "name_en": "new demo root", "source": "demo-standard", "locator": "p. 1", "reason": "Boiled.",
            "basis": "collated"}  # fmt: skip
    found = errors(over(tmp_path, forms=[form]))
    assert ("safety-loosened", "second:herbs/forms.csv", 2, "toxicity") in found


# rules and exceptions


def test_a_layer_adds_rules_and_raises_strength(tmp_path: Path) -> None:
    """A rule of the layer's own is used; a base rule named with a higher strength has that strength."""
    base = little(tmp_path / "base", rules={"demo.toml": rule(strength="expected")})
    raised = '[[rule]]\nid = "seaweed-salty-softens"\nstrength = "must"\n'
    own = rule(id="x-second-salty", strength="tends")
    materia = load(base, [layer(tmp_path / "second", rules={"own.toml": own + "\n" + raised})])
    assert {one.id: one.strength for one, _ in materia.measured} == {
        "seaweed-salty-softens": "must",
        "x-second-salty": "tends",
    }
    assert [one.file for one, _ in materia.measured] == ["rules/demo.toml", "second:rules/own.toml"]
    assert errors(materia) == []


@pytest.mark.parametrize(
    ("text", "rule_id"),
    [
        ('[[rule]]\nid = "seaweed-salty-softens"\nstrength = "tends"\n', "layer-rule"),
        ('[[rule]]\nid = "seaweed-salty-softens"\nstrength = "must"\n', "layer-rule"),
        ('[[rule]]\nid = "salty-seaweed"\nstrength = "must"\n', "layer-rule"),
        ('[[rule]]\nid = "seaweed-salty-softens"\nstrength = "always"\n', "rule-form"),
        (rule(id="salty", strength="tends"), "layer-id"),
        (rule(strength="tends"), "rule-form"),
        ("", "rule-file"),
        ("a.b.c.d.e = 1\n", "rule-file"),
    ],
)
def test_what_a_layer_may_not_do_to_rules(tmp_path: Path, text: str, rule_id: str) -> None:
    """Lowering, raising to what it is, a rule that is not there, an id without the layer's name, a rule said anew."""
    base = little(tmp_path / "base", rules={"demo.toml": rule(strength="must")})
    materia = load(base, [layer(tmp_path / "second", rules={"own.toml": text})])
    assert (rule_id, "second:rules/own.toml") in [(one[0], one[1]) for one in errors(materia)]
    assert next(one for one, _ in materia.measured if one.id == "seaweed-salty-softens").strength == "must"


def test_a_raised_rule_is_judged_at_its_new_strength(tmp_path: Path) -> None:
    """What a base that only expected it noted is an error under a layer that demands it."""
    negative = {"subject": "demo-kelp", "action": "soften-hardness", "polarity": "does-not"}
    base = little(tmp_path / "base", rules={"demo.toml": rule(strength="expected")}, herb_actions=[negative])
    assert [one.severity for one in check(load(base)).problems if one.rule == "seaweed-salty-softens"] == ["note"]
    raised = '[[rule]]\nid = "seaweed-salty-softens"\nstrength = "must"\n'
    materia = load(base, [layer(tmp_path / "second", rules={"own.toml": raised})])
    assert [one.severity for one in check(materia).problems if one.rule == "seaweed-salty-softens"] == ["error"]


EXCEPTION = {"rule": "seaweed-salty-softens", "subject": "demo-kelp", "reason": "Invented.", "by": "course owner"}
NEGATIVE = {"subject": "demo-kelp", "action": "soften-hardness", "polarity": "does-not", "basis": "memory"}


def test_exceptions_are_judged_where_their_file_stands(tmp_path: Path) -> None:
    """The base's exception is needed in the base though the layer mends the matter; the layer's is needed with it."""
    text = {"demo.toml": rule()}
    needed = little(tmp_path / "needed", rules=text, exceptions=[EXCEPTION], herb_actions=[NEGATIVE])
    mended = layer(tmp_path / "second", herb_actions=[NEGATIVE | {"polarity": "does"}])
    assert errors(load(needed, [mended])) == []
    base = little(tmp_path / "base", rules=text)
    broken = layer(tmp_path / "broken", herb_actions=[NEGATIVE], exceptions=[EXCEPTION | {"value": ""}])
    assert errors(load(base, [broken])) == []
    idle = layer(tmp_path / "idle", exceptions=[EXCEPTION])
    assert errors(load(base, [idle])) == [("exception-not-needed", "second:record/exceptions.csv", 2, "rule")]


def test_a_base_exception_that_its_base_does_not_need_is_told(tmp_path: Path) -> None:
    """A layer that breaks a rule does not make the base's idle exception needed."""
    base = little(tmp_path / "base", rules={"demo.toml": rule()}, exceptions=[EXCEPTION])
    found = errors(load(base, [layer(tmp_path / "second", herb_actions=[NEGATIVE])]))
    assert found == [("exception-not-needed", "record/exceptions.csv", 2, "rule")]


def test_a_layers_exception_to_a_safety_rule_is_a_loosening(tmp_path: Path) -> None:
    """It needs its row in the layer's ledger."""
    base = little(
        tmp_path / "base",
        rules={"safe.toml": SAFE},
        cautions=[{"subject": "demo-root", "topic": "pregnancy", "state": "contraindicated"}],
    )
    exception = {"rule": "toxic-in-pregnancy", "subject": "demo-root", "value": "toxic", "reason": "Invented.",
                 "by": "course owner", "review_on": "2030-01-01"}  # fmt: skip
    caution = {"subject": "demo-root", "topic": "pregnancy", "state": "caution", "basis": "memory"}
    found = errors(load(base, [layer(tmp_path / "second", cautions=[caution], exceptions=[exception])]))
    assert ("safety-loosened", "second:record/exceptions.csv", 2, "rule") in found


def test_against_compares_the_base_with_the_older_one(tmp_path: Path) -> None:
    """`--against` looks at the data beneath the layers: a layer's tightening hides no loosening of the base."""
    old = little(tmp_path / "old")
    new = little(tmp_path / "new", cautions=[{"subject": "demo-root", "topic": "pregnancy", "state": "caution"}])
    own = layer(tmp_path / "second", cautions=[ROOT_AVOID | {"state": "contraindicated"}])
    found = check(load(new, [own]), against=load(old)).problems
    assert ("safety-loosened", "herbs/cautions.csv") in [(one.rule, one.file) for one in found]


# drift


def kept(folder: Path, base: Path) -> None:
    """Have the layer keep what this base says."""
    tidy_layer(load(base, [folder]).package)


def drifts(base: Path, folder: Path) -> list[tuple[str, str, str]]:
    """Severity, record and column of each drift."""
    found = check(load(base, [folder]), on=date(2026, 11, 25)).problems
    return [(one.severity, one.record, one.column) for one in found if one.rule == "layer-drift"]


def state(subject: str, now: str) -> dict[str, Any]:
    return {"cautions": [{"subject": subject, "topic": "pregnancy", "state": now}]}


@pytest.mark.parametrize(
    ("says", "base_then", "base_now", "severity"),
    [
        ("caution", "caution", "avoid", "error"),
        ("avoid", "caution", "contraindicated", "error"),
        ("contraindicated", "caution", "avoid", "note"),
        ("avoid", "caution", "avoid", "note"),
        ("avoid", "contraindicated", "caution", "note"),
        ("avoid", "caution", "caution", ""),
    ],
)
def test_drift_of_a_caution(tmp_path: Path, says: str, base_then: str, base_now: str, severity: str) -> None:
    """An error where the base tightened and the layer leaves it looser; a note at any other move; else nothing."""
    folder = layer(tmp_path / "second", cautions=[LEAF | {"state": says}])
    kept(folder, little(tmp_path / "then", **state("demo-leaf", base_then)))
    now = little(tmp_path / "now", **state("demo-leaf", base_now))
    wanted = [(severity, "demo-leaf|pregnancy|", "state")] if severity else []
    assert drifts(now, folder) == wanted


def test_the_words_of_a_drift(tmp_path: Path) -> None:
    """It says what the base says now, what it said, what the row says, and what to do."""
    folder = layer(tmp_path / "second", cautions=[LEAF | {"state": "caution"}])
    kept(folder, little(tmp_path / "then"))
    now = little(tmp_path / "now", **state("demo-leaf", "avoid"))
    (found,) = (one for one in check(load(now, [folder])).problems if one.rule == "layer-drift")
    assert found.message == "The base now says avoid (when this was written: caution); your row still says caution."
    assert "materia tidy --layer" in found.tip and (found.file, found.line) == ("second:herbs/cautions.csv", 2)


def test_drift_under_a_row_that_the_base_did_not_have(tmp_path: Path) -> None:
    """The base adds a stricter caution under the layer's own row."""
    row = {"subject": "demo-seed", "topic": "pregnancy", "state": "caution", "evidence": "tradition",
           "detail": "Ask.", "reason": "Invented.", "basis": "memory"}  # fmt: skip
    folder = layer(tmp_path / "second", cautions=[row])
    kept(folder, little(tmp_path / "then"))
    now = little(tmp_path / "now", **state("demo-seed", "contraindicated"))
    assert ("error", "demo-seed|pregnancy|", "state") in drifts(now, folder)


def test_drift_under_a_row_taken_out_a_cell_cleared_and_a_value_that_is_no_safety(tmp_path: Path) -> None:
    """A stricter caution under a removed row is an error; a note's or a nature's move is a note."""
    folder = layer(
        tmp_path / "second",
        cautions=[{"subject": "demo-leaf", "topic": "pregnancy", "layer_op": "remove"}],
        herbs=[{"id": "demo-seed", "nature": "hot", "basis": "memory"}, {"id": "demo-kelp", "layer_clear": "flavors"}],
    )
    kept(folder, little(tmp_path / "then"))
    herbs = [{"id": "demo-seed", "nature": "neutral"}, {"id": "demo-kelp", "flavors": "salty;bitter"}]
    now = little(tmp_path / "now", herbs=herbs, **state("demo-leaf", "avoid"))
    assert sorted(drifts(now, folder)) == [
        ("error", "demo-leaf|pregnancy|", "state"),
        ("note", "demo-kelp", "flavors"),
        ("note", "demo-seed", "nature"),
    ]


def test_drift_of_a_row_that_is_gone_is_a_note(tmp_path: Path) -> None:
    """The base took out the row that the layer changes: the layer's row now stands alone."""
    folder = layer(
        tmp_path / "second", names=[{"subject": "demo-leaf", "name": "demo mint", "lang": "en", "kind": "old"}]
    )
    kept(folder, little(tmp_path / "then"))
    now = little(tmp_path / "now")
    names = now / "herbs" / "names.csv"
    names.write_text(re.sub(r"demo-leaf,demo mint.*\n", "", names.read_text()))
    assert drifts(now, folder) == [("note", "demo-leaf|demo mint|en", "kind")]


def test_drift_goes_when_somebody_has_looked(tmp_path: Path) -> None:
    """A line of base.csv is never changed by itself; taken out, tidy writes what the base says now."""
    folder = layer(tmp_path / "second", cautions=[LEAF | {"state": "contraindicated"}])
    kept(folder, little(tmp_path / "then"))
    now = little(tmp_path / "now", **state("demo-leaf", "avoid"))
    kept(folder, now)
    assert drifts(now, folder) == [("note", "demo-leaf|pregnancy|", "state")]
    (folder / "base.csv").write_text("table,record,column,value\n")
    kept(folder, now)
    assert drifts(now, folder) == []
    assert (folder / "base.csv").read_text() == (
        "table,record,column,value\ncautions,demo-leaf|pregnancy|,state,avoid\n"
    )


def test_a_cell_of_which_nothing_is_kept_is_told_once(tmp_path: Path) -> None:
    """Without base.csv there is one warning that nobody would be told; a line too many is a note."""
    folder = layer(tmp_path / "second", cautions=[LEAF | {"state": "avoid", "detail": "No."}])
    base = little(tmp_path / "base")
    (found,) = (one for one in check(load(base, [folder])).problems if one.rule == "layer-base-not-kept")
    assert found.severity == "warning" and "2 cells" in found.message
    kept(folder, base)
    shutil.rmtree(folder / "herbs")
    (found,) = (one for one in check(load(base, [folder])).problems if one.rule == "layer-base-not-kept")
    assert found.severity == "note" and "2 cells" in found.message


def test_nothing_is_kept_of_what_only_the_layer_can_have(tmp_path: Path) -> None:
    """A record with an id of the layer's own can never stand in a base."""
    folder = layer(
        tmp_path / "second",
        herbs=[{"id": "x-second-grass", "name_hans": "示例草", "category": "clear-heat", "basis": "memory"}],
        cautions=[{"subject": "x-second-grass", "topic": "pregnancy", "state": "avoid", "basis": "memory"}],
    )
    kept(folder, little(tmp_path / "base"))
    assert not (folder / "base.csv").exists()


def test_every_problem_of_layers_is_told_of() -> None:
    """docs/layers.md lists each `layer-…` that the code can say, and no other."""
    code = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "materia_data").rglob("*.py"))
    page = (ROOT / "docs" / "layers.md").read_text(encoding="utf-8")
    said = set(re.findall(r'"(layer-[a-z-]+)"', code))
    assert said == set(re.findall(r"^\| `(layer-[a-z-]+)`", page, re.MULTILINE))


def test_rows_are_found_by_file_and_line() -> None:
    """Line numbers alone no longer name a row: no module looks a row up by them."""
    wrong = re.compile(r"\.lines\.index\(|enumerate\([^\n]*\.lines\)")
    for folder in ("materia_data", "exporters"):
        for path in (ROOT / folder).rglob("*.py"):
            found = wrong.search(path.read_text(encoding="utf-8"))
            assert not found, f"{path.relative_to(ROOT)}: {found[0]}: use table.row_at(fact.file, fact.line)"
