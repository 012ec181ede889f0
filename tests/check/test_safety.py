"""semantics.md, 5, sentence by sentence: what counts as weaker, and what does not."""

import os
import re
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest

from materia_data.check.safety import EFFECTS, compare, safety_digest, safety_facts
from materia_data.materia import Materia, load
from tests.check.edits import HARMLESS
from tests.check.more_edits import SINGLE, harmless_edits, weakening_edits
from tests.check.packages import RULE, changes, effects, looser, package

PARTS = 20 if os.environ.get("MATERIA_DEEP") else 1
COUNT = 100 if os.environ.get("MATERIA_DEEP") else 40
"""Edits of each sort in each part: 2,000 in all, and the parts share the processors."""
LEAF = "route=decoction;per=day;population=adult"
ZHI = {"subject": "demo-root.zhi", "handling": "decoct-first"}


def caution(subject: str, topic: str, state: str, target: str = "") -> dict[str, Any]:
    return {"subject": subject, "topic": topic, "target": target, "state": state}


def dose(subject: str = "demo-leaf", **cells: object) -> dict[str, Any]:
    return {"subject": subject, "route": "decoction", "per": "day", "population": "adult", "purpose": "", **cells}


def herb(id: str, **cells: object) -> dict[str, Any]:
    return {"id": id, **cells}


# The compared set.


def test_the_same_package_has_not_changed() -> None:
    """Two readings of one package differ in nothing, and have one digest."""
    assert changes(package(), package()) == []
    assert safety_digest(package()) == safety_digest(package())


CONTROL = {"subject": "demo-leaf", "instrument": "demo-law", "jurisdiction": "demoland", "level": "banned"}
ONE_OF_EACH: dict[str, dict[str, Any]] = {
    "caution": {"cautions": [caution("demo-leaf", "pregnancy", "avoid")]},
    "toxicity": {"herbs": [herb("demo-leaf", toxicity="slight")]},
    "opposes": {"antagonisms": [{"a": "demo-leaf", "b": "demo-seed", "list": "other"}]},
    "control": {"controls": [CONTROL]},
    "handling": {"handling": [{"subject": "demo-leaf", "handling": "add-late", "force": "required"}]},
    "minutes-min": {"handling": [{**ZHI, "minutes_min": "90"}]},
    "dose-max": {"doses": [dose(max="8")]},
    "max-days": {"doses": [dose(max_days="8")]},
    "status": {"herbs": [herb("demo-leaf", status="restricted")]},
    "default-form": {"herbs": [herb("demo-root", default_form="demo-root.sheng")]},
    "trait": {"herbs": [herb("demo-leaf", traits="aromatic;aconitine")]},
    "when": {"rules": RULE.replace("toxicity:slight..", "toxicity:none..")},
    "exception": {"exceptions": [{"rule": "toxic-in-pregnancy", "subject": "demo-root", "value": "toxic"}]},
    "rank": {"toxicities": [{"id": "very-toxic", "rank": "2"}]},
}


@pytest.mark.parametrize("predicate", ONE_OF_EACH)
def test_the_compared_set(predicate: str) -> None:
    """Caution, toxicity, opposes, control, required handling with minutes, dose-max, max-days, status, default-form,
    constituents, safety rules, exceptions to them and terms they read are compared, and nothing of them is in vain."""
    old, now = package(), package(**ONE_OF_EACH[predicate])
    assert safety_digest(old) != safety_digest(now)
    assert predicate in {change.predicate for change in changes(old, now) if change.effect in EFFECTS}


@pytest.mark.parametrize(
    "new",
    [
        {"herbs": [herb("demo-leaf", nature="cold", name_en="another", traits="aromatic;food")]},
        {"herb_actions": [{"subject": "demo-leaf", "action": "relieve-pain", "polarity": "does"}]},
        {"cautions": [{**caution("demo-leaf", "pregnancy", "caution"), "detail": "Otherwise said."}]},
        {"handling": [{"subject": "demo-leaf", "handling": "add-late", "force": "optional"}]},
        {"doses": [dose(min="1")]},
        {"targets": [{"id": "aspirin", "broader": "anticoagulants", "topic": "drug", "name_en": "aspirin"}]},
    ],
)
def test_what_is_not_compared(new: dict[str, Any]) -> None:
    """Other facts, prose, steps that nobody requires, least doses and terms that nothing reads change no digest."""
    old, now = package(), package(**new)
    assert safety_digest(old) == safety_digest(now)
    assert not looser(old, now)


# Weaker is any of.


def test_a_lower_state() -> None:
    """A lower state is weaker, for the herb and for the forms that had it from there."""
    now = package(cautions=[caution("demo-root", "pregnancy", "avoid")])
    lower = ("caution", "topic=pregnancy", "contraindicated", "avoid")
    assert looser(package(), now) == {(id, *lower) for id in ("demo-root", "demo-root.sheng", "demo-root.zhi")}
    from_herb = {change.subject: change.inherited_from for change in changes(package(), now)}
    assert from_herb == {"demo-root": "", "demo-root.sheng": "demo-root", "demo-root.zhi": "demo-root"}


def test_a_lower_grade() -> None:
    """A lower grade is weaker; a stated `none` is above no grade, and no grade above nothing."""
    grades = ["", "unmarked", "none", "slight", "toxic", "very-toxic"]
    for low, was in enumerate(grades):
        for high, is_ in enumerate(grades):
            found = looser(
                package(herbs=[herb("demo-kelp", toxicity=was)]), package(herbs=[herb("demo-kelp", toxicity=is_)])
            )
            assert found == ({("demo-kelp", "toxicity", "", was, is_)} if high < low else set())


@pytest.mark.parametrize("state", ["none-stated", ""])
def test_none_stated_or_nothing(state: str) -> None:
    """`none-stated` or nothing where something stood is weaker."""
    now = package(cautions=[caution("demo-leaf", "pregnancy", state)])
    assert looser(package(), now) == {("demo-leaf", "caution", "topic=pregnancy", "caution", state)}


def test_a_row_less() -> None:
    """A deleted row takes away all that it stated."""
    gone = package(gone={"handling": ["demo-root.zhi|decoct-first|"], "doses": ["demo-root.zhi|decoction|day|adult|"]})
    assert looser(package(), gone) == {
        ("demo-root.zhi", "handling", "force=required", "decoct-first", ""),
        ("demo-root.zhi", "minutes-min", "handling=decoct-first", "60", ""),
        ("demo-root.zhi", "dose-max", LEAF, "3", ""),
        ("demo-root.zhi", "max-days", LEAF, "14", ""),
    }


def test_a_less_comparable_unit() -> None:
    """An amount that does not convert to grams is weaker than one that does; milligrams convert."""
    assert looser(package(), package(doses=[dose(unit="ml")])) == {("demo-leaf", "dose-max", LEAF, "9", "9 ml")}
    assert not looser(package(), package(doses=[dose(min="3000", max="9000", unit="mg")]))
    assert not looser(package(doses=[dose(unit="ml")]), package())
    assert looser(package(doses=[dose(unit="ml")]), package(doses=[dose(unit="piece")])) == {
        ("demo-leaf", "dose-max", LEAF, "9 ml", "9 piece")
    }


def test_a_higher_ceiling() -> None:
    """The largest dose for subject, route, population and per, over all purposes, may not rise."""
    raised = package(doses=[dose(max="10")])
    assert looser(package(), raised) == {("demo-leaf", "dose-max", LEAF, "9", "10")}
    for_purpose = package(doses=[dose(purpose="emergency", max="15")])
    assert looser(package(), for_purpose) == {("demo-leaf", "dose-max", LEAF, "9", "15")}
    assert not looser(package(), package(doses=[dose(purpose="emergency", max="9")]))
    assert not looser(for_purpose, package(doses=[dose(max="15")]))
    assert not looser(for_purpose, package())


@pytest.mark.parametrize("column", ["route", "per", "population"])
def test_another_route_is_another_ceiling(column: str) -> None:
    """A ceiling given to another route, population or per is lost where it stood."""
    other = {"route": "powder", "per": "time", "population": "child"}
    now = package(doses=[dose(**{column: other[column]})], gone={"doses": ["demo-leaf|decoction|day|adult|"]})
    assert looser(package(), now) == {("demo-leaf", "dose-max", LEAF, "9", "")}


def test_a_dose_without_an_end() -> None:
    """A dose that begins and no longer ends has no ceiling, whatever the other purposes have."""
    old = package(doses=[dose(purpose="emergency", min="6", max="9")])
    purpose = f"{LEAF};purpose=emergency"
    assert looser(old, package(doses=[dose(purpose="emergency", min="6", max="")])) == {
        ("demo-leaf", "dose-max", purpose, "9", "")
    }
    assert looser(package(), package(doses=[dose(purpose="emergency", min="60", max="")])) == {
        ("demo-leaf", "dose-max", purpose, "9", "")
    }


def test_more_days() -> None:
    """More days, or no limit where there was one, is weaker; a new purpose is held to what the others allowed."""
    zhi = dose("demo-root.zhi")
    for is_ in ("15", ""):
        assert looser(package(), package(doses=[{**zhi, "max_days": is_}])) == {
            ("demo-root.zhi", "max-days", LEAF, "14", is_)
        }
    assert not looser(package(), package(doses=[{**zhi, "max_days": "7"}]))
    new_purpose = {**zhi, "purpose": "emergency", "min": "1", "max": "2"}
    assert looser(package(), package(doses=[{**new_purpose, "max_days": "30"}])) == {
        ("demo-root.zhi", "max-days", f"{LEAF};purpose=emergency", "14", "30")
    }
    assert not looser(package(), package(doses=[{**new_purpose, "max_days": "3"}]))


def test_grams_for_a_subject_that_had_none() -> None:
    """Grams for a subject that had none are weaker; another route for one that had some is new."""
    raw = dose("demo-root.sheng", min="1", max="2")
    assert looser(package(), package(doses=[raw])) == {("demo-root.sheng", "dose-max", LEAF, "", "2")}
    assert looser(package(), package(doses=[{**raw, "max": ""}])) == {("demo-root.sheng", "dose-min", LEAF, "", "1")}
    assert effects(package(), package(doses=[dose(route="powder")])) == {("demo-leaf", "dose-max", "gained")}


def test_fewer_minutes() -> None:
    """Fewer minutes of a required step are weaker; more are not."""
    for is_ in ("30", ""):
        assert looser(package(), package(handling=[{**ZHI, "minutes_min": is_}])) == {
            ("demo-root.zhi", "minutes-min", "handling=decoct-first", "60", is_)
        }
    assert effects(package(), package(handling=[{**ZHI, "minutes_min": "90"}])) == {
        ("demo-root.zhi", "minutes-min", "strengthened")
    }


@pytest.mark.parametrize("force", ["usual", "optional"])
def test_required_to_anything_else(force: str) -> None:
    """A step that was required and is anything else now is weaker, and its minutes are required no more."""
    assert looser(package(), package(handling=[{**ZHI, "force": force}])) == {
        ("demo-root.zhi", "handling", "force=required", "decoct-first", f"decoct-first[force={force}]"),
        ("demo-root.zhi", "minutes-min", "handling=decoct-first", "60", ""),
    }


def test_a_default_form_that_is_no_longer_the_stricter_one() -> None:
    """A default form gives way only to one as strict in all; cleared, it is lost."""
    strict = {
        "id": "demo-root.fa",
        "herb": "demo-root",
        "kind": "prepared",
        "inherits": "all",
        "toxicity": "very-toxic",
    }
    dosed = [dose("demo-root.fa", min="1", max="2", max_days="7")]
    boiled = [{**ZHI, "subject": "demo-root.fa", "force": "required", "minutes_min": "90"}]
    more: dict[str, Any] = {"forms": [strict], "doses": dosed, "handling": boiled}
    old = package(**more)
    for form, effect in (("demo-root.fa", "strengthened"), ("demo-root.sheng", "weakened"), ("", "removed")):
        now = package(**more, herbs=[herb("demo-root", default_form=form)])
        assert effects(old, now) == {("demo-root", "default-form", effect)}


@pytest.mark.parametrize("status", ["restricted", "withdrawn", "historical"])
def test_current_again(status: str) -> None:
    """`current` where it was restricted, withdrawn or historical is weaker; the other way it is stricter."""
    old = package(herbs=[herb("demo-seed", status=status)])
    assert looser(old, package()) == {("demo-seed", "status", "", status, "current")}
    assert effects(package(), old) == {("demo-seed", "status", "strengthened")}


def test_an_antagonism() -> None:
    """An antagonism lost or lowered is so for both, and for the forms of both."""
    both = {
        "demo-kelp": "demo-root",
        "demo-root": "demo-kelp",
        "demo-root.sheng": "demo-kelp",
        "demo-root.zhi": "demo-kelp",
    }
    quals = "list=other;reading=stated;state=avoid"
    assert looser(package(), package(gone={"antagonisms": ["demo-kelp|demo-root|other"]})) == {
        (one, "opposes", quals, other, "") for one, other in both.items()
    }
    lower = package(antagonisms=[{"a": "demo-kelp", "b": "demo-root", "list": "other", "state": "caution"}])
    assert looser(package(), lower) == {
        (one, "opposes", quals, other, f"{other}[state=caution]") for one, other in both.items()
    }


def test_a_control() -> None:
    """A control lost is weaker, and so is another level, which nothing shows to be as strict."""
    key = {"subject": "demo-root.sheng", "instrument": "demo-law", "jurisdiction": "demoland"}
    lost = ("demo-root.sheng", "control", "instrument=demo-law;jurisdiction=demoland", "prescription-only")
    assert looser(package(), package(gone={"controls": ["demo-root.sheng|demo-law|demoland"]})) == {(*lost, "")}
    assert looser(package(), package(controls=[{**key, "level": "banned"}])) == {(*lost, "banned")}
    narrower = [{"id": "banned", "broader": "prescription-only", "name_en": "banned"}]
    assert not looser(package(), package(controls=[{**key, "level": "banned"}], levels=narrower))


def test_a_constituent() -> None:
    """A constituent lost is weaker, `-name` on a form too; another trait is none of this."""
    now = package(herbs=[herb("demo-root", traits="")])
    assert looser(package(), now) == {
        (id, "trait", "", "aconitine", "") for id in ("demo-root", "demo-root.sheng", "demo-root.zhi")
    }
    form = {"id": "demo-root.zhi", "traits": "-aconitine"}
    assert looser(package(), package(forms=[form])) == {("demo-root.zhi", "trait", "", "aconitine", "")}
    assert not looser(package(), package(herbs=[herb("demo-leaf", traits="")]))
    no_more = package(traits=[{"id": "aconitine", "kind": "substance"}])
    assert looser(package(), no_more) == looser(package(), now)


def test_a_lower_strength_of_a_safety_rule() -> None:
    """A safety rule lower in strength, no longer about safety, over fewer kinds, or gone is weaker."""
    for strength in ("expected", "tends"):
        now = package(rules=RULE.replace('"must"', f'"{strength}"'))
        assert looser(package(), now) == {("toxic-in-pregnancy", "strength", "", "must", strength)}
    assert looser(package(), package(rules="")) == {("toxic-in-pregnancy", "strength", "", "must", "")}
    plain = package(rules=RULE.replace("safety = true", "safety = false"))
    assert looser(package(), plain) == {("toxic-in-pregnancy", "safety", "", "true", "false")}


@pytest.mark.parametrize(
    ("key", "is_"),
    [
        ("when", "toxicity:toxic.."),
        ("when", "toxicity:slight.. and flavor:sour"),
        ("when", "toxicity:slight..toxic"),
        ("expect", "caution:avoid..[topic:pregnancy] or caution[topic:pregnancy]"),
        ("expect", "caution[topic:pregnancy]"),
        ("expect", "caution:caution..[topic:pregnancy] and caution[topic:pregnancy]"),
    ],
)
def test_a_rule_that_narrows_or_softens(key: str, is_: str) -> None:
    """A safety rule that asks less, or of fewer, is weaker."""
    was = re.search(rf'^{key} = "(.*)"$', RULE, re.MULTILINE)
    assert was
    now = package(rules=RULE.replace(f'{key} = "{was[1]}"', f'{key} = "{is_}"'))
    assert looser(package(), now) == {("toxic-in-pregnancy", key, "", was[1], is_)}
    back = {(change.predicate, change.effect) for change in changes(now, package())}
    assert back == {(key, "strengthened")}


@pytest.mark.parametrize(
    ("key", "is_"),
    [
        ("when", "toxicity:none.. or toxicity:slight.."),
        ("when", "toxicity:none.."),
        ("expect", "caution[topic:pregnancy] and caution:avoid..[topic:pregnancy]"),
        ("expect", "caution:contraindicated..[topic:pregnancy] and caution[topic:pregnancy]"),
        ("expect", "caution:avoid..[topic:pregnancy] and caution[topic:lactation] and caution[topic:pregnancy]"),
    ],
)
def test_a_rule_that_widens_or_hardens(key: str, is_: str) -> None:
    """A safety rule that asks as much or more, of as many or more, is not weaker, however it is written."""
    now = package(rules=re.sub(rf'^{key} = ".*"$', f'{key} = "{is_}"', RULE, flags=re.MULTILINE))
    assert safety_facts(now).rules and not looser(package(), now)


def test_a_rule_under_another_name() -> None:
    """A safety rule that is gone is no loss where another asks as much of as many."""
    assert not looser(package(), package(rules=RULE.replace("toxic-in-pregnancy", "another-name")))


def test_a_new_exception() -> None:
    """A new exception to a safety rule, or to a safety check, is weaker; one that goes is not."""
    row = {"rule": "toxic-in-pregnancy", "subject": "demo-root", "value": "toxic", "review_on": "2030-01-01"}
    now = package(exceptions=[row])
    assert looser(package(), now) == {("demo-root", "exception", "rule=toxic-in-pregnancy", "", "toxic")}
    assert not looser(now, package())
    assert not looser(now, package(exceptions=[{**row, "reason": "Otherwise said."}]))


def test_a_term_moved_so_that_a_rule_no_longer_reaches() -> None:
    """A term moved so that a safety rule no longer reaches a subject is weaker for that subject."""
    rule = RULE.replace("toxicity:slight..", "flavor:bitter")
    old = package(rules=rule)
    moved = package(rules=rule, flavors=[{"id": "slightly-bitter", "broader": "pungent"}])
    assert looser(old, moved) == {("demo-leaf", "rule", "", "toxic-in-pregnancy", "")}
    assert not looser(moved, old)
    corrected = package(rules=rule, herbs=[herb("demo-leaf", flavors="pungent")])
    assert not looser(old, corrected)


def test_an_implied_cause_moved() -> None:
    """What an action implies is read by rules, and a safety rule that no longer reaches by it is told."""
    rule = RULE.replace("toxicity:slight..", "action[cause:cold]")
    now = package(rules=rule, actions=[{"id": "warm-interior", "implied_cause": ""}])
    assert {found[0] for found in looser(package(rules=rule), now)} == {"demo-root", "demo-root.zhi"}


def test_a_target_moved() -> None:
    """A target that leaves a broader one, of which a caution speaks, is no longer covered by it."""
    drug = [caution("demo-leaf", "drug", "avoid", "anticoagulants")]
    moved = [{"id": "warfarin", "broader": ""}]
    found = looser(package(cautions=drug), package(cautions=drug, targets=moved))
    assert found == {("warfarin", "broader", "terms=targets", "anticoagulants", "")}
    covered = [*drug, caution("demo-leaf", "drug", "avoid", "warfarin")]
    assert not looser(package(cautions=drug), package(cautions=covered, targets=moved))
    assert not looser(package(), package(targets=moved))


def test_a_target_of_another_topic() -> None:
    """A target that goes to another topic is no longer taken in by a caution on the whole of its old one."""
    whole = [caution("demo-leaf", "drug", "avoid")]
    moved = package(cautions=whole, targets=[{"id": "warfarin", "topic": "condition"}])
    assert looser(package(cautions=whole), moved) == {("warfarin", "topic", "terms=targets", "drug", "condition")}


def test_a_rank_moved() -> None:
    """A grade that falls to or below another, or loses its rank, is weaker; new numbers in the same order are not."""
    for rank in ("2", "1", ""):
        found = looser(package(), package(toxicities=[{"id": "very-toxic", "rank": rank}]))
        assert ("very-toxic", "rank", "terms=toxicities", "3", rank) in found
    assert not looser(package(), package(toxicities=[{"id": "very-toxic", "rank": "9"}]))


# What is no loss.


def test_a_new_form_is_compared_with_its_herb() -> None:
    """A new form is compared with its herb: what is looser than there is weaker."""
    form = {"id": "demo-leaf.chao", "herb": "demo-leaf", "kind": "prepared", "inherits": "all"}
    assert not looser(package(), package(forms=[form]))
    assert not looser(package(), package(forms=[{**form, "inherits": "safety"}]))
    looser_dose = {**dose("demo-leaf.chao", min="3", max="30"), "basis": "collated", "source": "demo-standard",
                   "locator": "p. 1", "note": ""}  # fmt: skip
    raw = package(forms=[{**form, "inherits": "safety"}], doses=[looser_dose])
    assert looser(package(), raw) == {("demo-leaf.chao", "dose-max", LEAF, "9", "30")}
    cut = package(forms=[{"id": "demo-root.tan", "herb": "demo-root", "inherits": "all", "traits": "-aconitine"}])
    assert looser(package(), cut) == {("demo-root.tan", "trait", "", "aconitine", "")}


def test_a_new_form_that_is_dosed_as_its_herb_is_cooked_so() -> None:
    """A new form that takes only safety facts, yet is dosed as its herb, is asked for its herb's cooking too."""
    herb_boils = [{"subject": "demo-leaf", "handling": "decoct-first", "force": "required", "minutes_min": "60"}]
    form = {"id": "demo-leaf.sheng", "herb": "demo-leaf", "kind": "raw", "inherits": "safety"}
    old = package(handling=herb_boils)
    assert not looser(old, package(handling=herb_boils, forms=[form]))
    dosed = package(handling=herb_boils, forms=[form], doses=[dose("demo-leaf.sheng", max="9")])
    assert {found[1] for found in looser(old, dosed)} == {"handling", "minutes-min"}


def _renamed(old: str, new: str, retired: str = "") -> Materia:
    """The little package with demo-leaf under another id, retired in favour of one."""
    made = package(retired=[{"id": old, "kind": "herbs", "replaced_by": retired}] if retired else [])
    for table in made.package.tables.values():
        if table.schema.name != "retired":
            for column, cells in table.columns.items():
                table.columns[column] = [
                    ";".join(new if part == old else part for part in cell.split(";")) for cell in cells
                ]
    return Materia(made.package)


def test_a_retired_id_is_compared_with_what_replaced_it() -> None:
    """A retired id is compared with `replaced_by`; without one all that it stated is lost."""
    assert not looser(package(), _renamed("demo-leaf", "demo-blade", retired="demo-blade"))
    assert looser(package(), _renamed("demo-leaf", "demo-blade")) == {
        ("demo-leaf", "toxicity", "", "none", ""),
        ("demo-leaf", "caution", "topic=pregnancy", "caution", ""),
        ("demo-leaf", "dose-max", LEAF, "9", ""),
        ("demo-leaf", "status", "", "current", ""),
    }
    assert not looser(package(), _renamed("demo-kelp", "demo-weed", retired="demo-weed"))


def test_two_medicinals_merged() -> None:
    """What one stated and the other, which replaces it, does not, is lost."""
    merged = package(
        gone={"herbs": ["demo-leaf"], "cautions": ["demo-leaf|pregnancy|"], "doses": ["demo-leaf|decoction|day|adult|"],
              "handling": ["demo-leaf|add-late|"]},
        retired=[{"id": "demo-leaf", "kind": "herbs", "replaced_by": "demo-seed"}],
    )  # fmt: skip
    assert looser(package(), merged) == {("demo-leaf", "caution", "topic=pregnancy", "caution", "")}


def test_a_broader_target_covers() -> None:
    """A lost fact is no loss where a broader target, or the whole topic, has one as strict."""
    old = package(cautions=[caution("demo-leaf", "drug", "avoid", "warfarin")])
    for target in ("anticoagulants", ""):
        assert not looser(old, package(cautions=[caution("demo-leaf", "drug", "avoid", target)]))
        assert looser(old, package(cautions=[caution("demo-leaf", "drug", "caution", target)])) == {
            ("demo-leaf", "caution", "topic=drug;target=warfarin", "avoid", "caution")
        }
    assert looser(old, package(cautions=[caution("demo-leaf", "drug", "avoid", "thyroid-disease")]))


def test_a_narrower_target_does_not_cover() -> None:
    """A caution narrowed to one target no longer speaks of the others."""
    old = package(cautions=[caution("demo-leaf", "drug", "avoid", "anticoagulants")])
    assert looser(old, package(cautions=[caution("demo-leaf", "drug", "avoid", "warfarin")])) == {
        ("demo-leaf", "caution", "topic=drug;target=anticoagulants", "avoid", "")
    }


def test_the_herb_covers_its_form() -> None:
    """A form's lost fact is no loss where its herb has one as strict; a herb's is, moved to a form."""
    own = [caution("demo-root.zhi", "pregnancy", "contraindicated")]
    assert not looser(package(cautions=own), package())
    moved = package(
        gone={"cautions": ["demo-root|pregnancy|"]}, cautions=[caution("demo-root.zhi", "pregnancy", "contraindicated")]
    )
    assert looser(package(), moved) == {
        (id, "caution", "topic=pregnancy", "contraindicated", "") for id in ("demo-root", "demo-root.sheng")
    }


def test_a_form_that_is_gone() -> None:
    """A form that is gone is compared with its herb: only what was its own is lost."""
    gone: dict[str, Any] = {"forms": ["demo-root.zhi"], "doses": ["demo-root.zhi|decoction|day|adult|"],
            "handling": ["demo-root.zhi|decoct-first|"], "herb_actions": ["demo-root.zhi|relieve-pain||"]}  # fmt: skip
    found = {(subject, predicate) for subject, predicate, *_ in looser(package(), package(gone=gone))}
    own = {"dose-max", "max-days", "handling", "minutes-min"}
    assert found == {("demo-root.zhi", predicate) for predicate in own}


def test_a_higher_state_covers() -> None:
    """A higher state, grade or level is no loss, and is listed as strengthened."""
    assert effects(package(), package(cautions=[caution("demo-leaf", "pregnancy", "contraindicated")])) == {
        ("demo-leaf", "caution", "strengthened")
    }
    assert effects(package(), package(cautions=[caution("demo-leaf", "lactation", "avoid")])) == {
        ("demo-leaf", "caution", "gained")
    }


def test_a_second_antagonism_covers() -> None:
    """An antagonism deleted from one list is no loss where another list has it as strict."""
    twice = [{"a": "demo-kelp", "b": "demo-root", "list": "eighteen", "state": "contraindicated"}]
    assert not looser(
        package(antagonisms=twice), package(antagonisms=twice, gone={"antagonisms": ["demo-kelp|demo-root|other"]})
    )
    assert looser(package(antagonisms=twice), package())


def test_a_new_subject_loosens_nothing() -> None:
    """A new subject is never weaker, whatever it states or is not asked."""
    new = package(herbs=[herb("demo-new", toxicity="unmarked")], doses=[dose("demo-new", max="900")])
    found = changes(package(), new)
    assert {change.effect for change in found} == {"gained"}
    assert {change.subject for change in found} == {"demo-new"}


def test_a_form_takes_less_or_more_from_its_herb() -> None:
    """A form that no longer takes all from its herb loses its dose; one that begins to has grams it had not."""
    form = {"id": "demo-leaf.chao", "herb": "demo-leaf", "kind": "prepared", "inherits": "all"}
    everything, safety = package(forms=[form]), package(forms=[{**form, "inherits": "safety"}])
    assert looser(everything, safety) == {("demo-leaf.chao", "dose-max", LEAF, "9", "")}
    assert looser(safety, everything) == {("demo-leaf.chao", "dose-max", LEAF, "", "9")}


def test_where_it_stands() -> None:
    """A change stands at the cell that now says so, or at the file of the row that is gone."""
    (change,) = [c for c in changes(package(), package(doses=[dose(max="10")])) if c.looser]
    assert (change.file, change.record, change.column) == ("herbs/doses.csv", "demo-leaf|decoction|day|adult|", "max")
    assert change.line > 1
    (blank,) = [c for c in changes(package(), package(doses=[dose(max="")])) if c.looser]
    assert (blank.file, blank.line, blank.column) == ("herbs/doses.csv", change.line, "max")
    (gone,) = [c for c in changes(package(), package(gone={"doses": ["demo-leaf|decoction|day|adult|"]})) if c.looser]
    assert (gone.file, gone.line, gone.record) == ("herbs/doses.csv", 0, "demo-leaf|decoction|day|adult|")


# Over the shipped package.


@pytest.fixture(scope="module")
def shipped() -> Materia:
    return load()


@pytest.mark.parametrize("part", range(PARTS))
def test_every_weakening_is_named(part: int, shipped: Materia, record_property: Callable[[str, object], None]) -> None:
    """Whatever takes a safety fact away, in whatever table, alone or beside another edit, is named with its subject and
    predicate."""
    old, kinds, missed = safety_facts(shipped), Counter[str](), []
    packages = 0
    for new, edits in weakening_edits(shipped, COUNT, part * 10_000):
        packages += 1
        kinds.update(edit.name.partition(" (")[0] for edit in edits)
        found = {(c.subject, c.predicate) for c in compare(old, safety_facts(new)) if c.looser}
        missed += [(one.name, one.subject, one.predicate) for one in edits if (one.subject, one.predicate) not in found]
    tried = f"{packages} packages with {sum(kinds.values())} edits of {len(kinds)} kinds that weaken"
    record_property("sample", f"{tried}, part {part + 1} of {PARTS}: {len(missed)} missed")
    assert not missed
    assert sum(kinds.values()) >= COUNT and len(kinds) >= min(COUNT, len(SINGLE)) - 12


@pytest.mark.parametrize("part", range(PARTS))
def test_no_harmless_edit_is_called_weaker(
    part: int, shipped: Materia, record_property: Callable[[str, object], None]
) -> None:
    """Corrections elsewhere, additions, tightening and another way to write the same are no weakening, five on one
    another."""
    old, kinds, wrong = safety_facts(shipped), Counter[str](), []
    for new, edits in harmless_edits(shipped, COUNT, part * 10_000):
        kinds.update(edit.name.partition(" (")[0] for edit in edits)
        wrong += [([edit.name for edit in edits], c) for c in compare(old, safety_facts(new)) if c.looser]
    tried = f"{sum(kinds.values())} harmless edits of {len(kinds)} kinds"
    record_property("sample", f"{tried}, part {part + 1} of {PARTS}: {len(wrong)} called weaker")
    assert not wrong
    assert sum(kinds.values()) == COUNT and len(kinds) >= min(COUNT, len(HARMLESS)) - 5
