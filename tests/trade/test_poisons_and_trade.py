"""Poisons, their ceilings, and what may cross a border.

Outside sources, all recalled (memory): Chinese Pharmacopoeia 2020, volume I, whose published totals are 10 very toxic,
42 toxic and 31 slightly toxic names; the list of 28 toxic Chinese drugs of 1988; the appendices of CITES.
"""

import pytest

from tests.trade.rows import data, shipped, table

TOTALS = {"very-toxic": 10, "toxic": 42, "slight": 31}


def named() -> dict[str, str]:
    """Id of every medicinal and form by its standard name."""
    return {row["name_hans"]: row["id"] for row in (*shipped("forms"), *shipped("herbs")) if row["name_hans"]}


@pytest.mark.parametrize("grade", sorted(TOTALS))
def test_every_graded_name_of_the_standard_has_its_grade(grade: str) -> None:
    """Each name that the standard calls very toxic, toxic or slightly toxic is in the package with that grade."""
    rows = [row["name"] for row in table("toxic_grades.csv") if row["grade"] == grade]
    assert len(rows) == TOTALS[grade]
    facts, ids = data().facts, named()
    absent = [name for name in rows if name not in ids]
    assert absent == []
    wrong = {name: [fact.value for fact in facts.of(ids[name], "toxicity")] for name in rows}
    assert {name: value for name, value in wrong.items() if value != [grade]} == {}


def test_no_grade_is_ascribed_to_the_standard_that_it_has_not() -> None:
    """A medicinal graded as the standard's, by its citations, is one of the standard's 83 names."""
    names = {row["name"]: row["grade"] for row in table("toxic_grades.csv")}
    herbs = {row["id"]: row["name_hans"] for row in shipped("herbs")}
    cited = {
        (herbs[row["record"]], row["stated"])
        for row in shipped("citations")
        if (row["about_table"], row["column"], row["source"]) == ("herbs", "toxicity", "chp-2020-1")
        and row["stated"] in TOTALS
    }
    assert len(cited) > 70
    assert cited - set(names.items()) == set()


def test_the_twenty_eight_toxic_drugs_of_1988_are_controlled() -> None:
    """Each name of the list has the control of it, and nothing else has."""
    listed = {row["subject"] for row in table("toxic_list_1988.csv")}
    ours = {row["subject"] for row in shipped("controls") if row["instrument"] == "cn-toxic-1988"}
    assert len(listed) == 28
    assert ours == listed


@pytest.mark.parametrize("row", table("very_toxic_ceilings.csv"), ids=lambda row: str(row["name"]))
def test_no_very_toxic_drug_is_dosed_above_its_ceiling(row: dict[str, str]) -> None:
    """By mouth and in grams the largest dose is the standard's ceiling; where it has none, neither have we."""
    subject = named()[row["name"]]
    doses = [dose for dose in shipped("doses") if dose["subject"].split(".")[0] == subject and dose["max"]]
    by_mouth = [dose for dose in doses if dose["route"] != "external"]
    if not row["grams_a_day"]:
        assert by_mouth == []
        return
    assert {dose["unit"] for dose in by_mouth} == {"g"}
    assert max(float(dose["max"]) for dose in by_mouth) == float(row["grams_a_day"])


def test_cites_appendices_are_those_of_the_convention() -> None:
    """Each taxon under the convention has its appendix, and each listed taxon that we have a control for is listed."""
    listed = {row["taxon"]: f"cites-appendix-{row['appendix']}" for row in table("cites.csv")}
    controls = [row for row in shipped("controls") if row["instrument"] == "cites"]
    ours = {row["taxon"] or {"xi-jiao": "rhinocerotidae"}.get(row["subject"], row["subject"]): row for row in controls}
    assert {taxon: row["level"] for taxon, row in ours.items()} == listed


def test_every_medicinal_of_a_listed_taxon_is_controlled() -> None:
    """A medicinal whose official source is a listed species carries the control, itself or in a form of it."""
    listed = {row["taxon"] for row in table("cites.csv")}
    controlled = {row["subject"].split(".")[0] for row in shipped("controls") if row["instrument"] == "cites"}
    official = {row["subject"] for row in shipped("species") if row["taxon"] in listed and row["status"] == "official"}
    assert {subject.split(".")[0] for subject in official} - controlled == set()
