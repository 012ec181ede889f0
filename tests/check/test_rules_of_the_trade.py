"""What the shipped data and rules must agree with: facts that every school of the trade teaches.

Each expected list below was written down from teaching, not read off the data: common practice, no source.
"""

import re

import pytest

from materia_data import Materia, load
from materia_data.check.measure import Measure, measure_all
from materia_data.check.rules import Rule, read_rules
from materia_data.check.run import check
from materia_data.check.verdict import example_problems
from materia_data.facts.facts import Facts
from materia_data.teach.explain import explain_all

SEAWEEDS = {"hai-zao", "kun-bu"}
AROIDS = ("ban-xia", "tian-nan-xing", "bai-fu-zi")


@pytest.fixture(scope="module")
def shipped() -> Materia:
    return load()


@pytest.fixture(scope="module")
def facts(shipped: Materia) -> Facts:
    return shipped.facts


@pytest.fixture(scope="module")
def rules(shipped: Materia) -> list[Rule]:
    found, problems = read_rules(shipped.package, shipped.facts)
    assert problems == []
    return found


@pytest.fixture(scope="module")
def measures(rules: list[Rule], facts: Facts) -> dict[str, Measure]:
    return dict(zip((rule.id for rule in rules), measure_all(rules, facts), strict=True))


def herbs(shipped: Materia, pattern: str) -> set[str]:
    return {subject for subject in shipped.match(pattern) if shipped.facts.kind(subject) == "herbs"}


def test_seaweeds_are_salty_cold_and_soften_hardness(shipped: Materia) -> None:
    """Sargassum and kelp are the two seaweeds, both salty, both cold, both softening (common practice, no source)."""
    assert herbs(shipped, "trait:seaweed") == SEAWEEDS
    assert herbs(shipped, "trait:seaweed and flavor:salty and nature:cold and action:soften-hardness") == SEAWEEDS


def test_only_one_seaweed_must_not_meet_licorice(shipped: Materia) -> None:
    """The verse of the eighteen sets sargassum against licorice and says nothing of kelp (common practice, no
    source)."""
    assert herbs(shipped, "trait:seaweed and opposes:gan-cao[list:eighteen]") == {"hai-zao"}
    assert "gan-cao" in shipped.match("opposes:hai-zao[list:eighteen]")


@pytest.mark.parametrize("aroid", AROIDS)
def test_ginger_tames_stinging_tubers(shipped: Materia, aroid: str) -> None:
    """Raw stinging tubers are not for swallowing; those boiled with ginger and alum have a dose by mouth (common
    practice, no source)."""
    kept_out = shipped.match("kind:raw and caution:avoid..[topic:internal-use]")
    taken = shipped.match("method:alum-ginger-processing and dose-max[route:decoction]")
    assert f"{aroid}.sheng" in kept_out
    assert f"{aroid}.sheng" not in shipped.match("dose-max[route:decoction]")
    assert any(shipped.facts.herb_of(form) == aroid for form in taken)


def test_ginger_does_not_make_a_toxic_tuber_harmless(shipped: Materia) -> None:
    """Processed pinellia, arisaema and typhonium keep their pregnancy caution (common practice, no source)."""
    warned = shipped.match("caution[topic:pregnancy]")
    tamed = shipped.match("method:alum-ginger-processing")
    assert len(tamed) >= len(AROIDS)
    assert set(tamed) <= set(warned)


def test_bile_turns_arisaema_from_warm_to_cool(shipped: Materia) -> None:
    """Arisaema is warm and dries; processed with bile it is cool and clears hot phlegm (common practice, no source)."""
    assert "tian-nan-xing" in shipped.match("nature:warm and action:dry-dampness-transform-phlegm")
    assert shipped.match("method:bile-processing") == ["dan-nan-xing"]
    assert "dan-nan-xing" in shipped.match("nature:cool and action:clear-transform-hot-phlegm")
    assert "dan-nan-xing" in shipped.match("states-not action:warm-transform-cold-phlegm")


def test_oily_seeds_moisten_the_intestines(shipped: Materia, measures: dict[str, Measure]) -> None:
    """Apricot kernel, perilla fruit and trichosanthes seed slide through the bowel; pressed trichosanthes no longer
    does, and the oil of croton and brucea burns instead (common practice, no source)."""
    assert {"ku-xing-ren", "zi-su-zi", "gua-lou-zi"} <= herbs(shipped, "trait:oily and action:moisten-intestines")
    assert "gua-lou-zi.shuang" in shipped.match("states-not action:moisten-intestines")
    measured = measures["oily-seeds-moisten-intestines"]
    assert len(measured.holds) >= 5
    assert {shipped.facts.subjects[number] for number in measured.contradicted} == {"ba-dou", "ya-dan-zi"}


def test_phlegm_medicinals_tend_to_enter_lung_and_spleen(shipped: Materia) -> None:
    """The spleen is the source of phlegm and the lung its vessel: three in four enter the lung, and those for damp
    phlegm both, but realgar, whose phlegm is that of fits (common practice, no source)."""
    phlegm, lung = herbs(shipped, "action:transform-phlegm"), herbs(shipped, "action:transform-phlegm and channel:lung")
    assert len(phlegm) >= 40
    assert len(lung) / len(phlegm) >= 0.75
    damp = herbs(shipped, "action:dry-dampness-transform-phlegm")
    assert {"ban-xia", "tian-nan-xing", "chen-pi"} <= damp
    assert damp - {"xiong-huang"} <= herbs(shipped, "channel:lung and channel:spleen")


def test_hot_phlegm_is_cooled_and_cold_phlegm_warmed(shipped: Materia) -> None:
    """No medicinal for hot phlegm is warm, and none for cold phlegm is cool (common practice, no source)."""
    hot = herbs(shipped, "action:transform-phlegm[cause:hot-phlegm]")
    cold = herbs(shipped, "action:transform-phlegm[cause:cold-phlegm]")
    assert {"chuan-bei-mu", "zhe-bei-mu", "gua-lou", "zhu-ru"} <= hot
    assert "jie-zi" in cold
    assert hot <= herbs(shipped, "nature:..cool")
    assert cold <= herbs(shipped, "nature:slightly-warm..")


def test_the_guide_of_the_lung_is_neutral_and_ascends(shipped: Materia) -> None:
    """Platycodon carries others up to the lung and is neither warm nor cold (common practice, no source)."""
    assert herbs(shipped, "action:guide-to-channel and channel:lung and nature=neutral") == {"jie-geng"}
    assert "jie-geng" in shipped.match("direction:ascending and states-not action:descend-qi")


def test_inula_alone_of_the_flowers_descends(shipped: Materia) -> None:
    """All flowers rise, inula flower alone descends, says the verse; it leaves out drastic genkwa, which purges, and
    the clove, a spice that brings hiccup down (common practice, no source)."""
    assert herbs(shipped, "part:flower and direction:descending") == {"xuan-fu-hua", "yuan-hua", "ding-xiang"}


def test_bland_medicinals_drain_and_aconites_are_boiled_long(shipped: Materia) -> None:
    """Poria, polyporus, alisma and coix are bland and promote urination; every aconite for the pot is boiled first
    (common practice, no source)."""
    assert {"fu-ling", "zhu-ling", "ze-xie", "yi-yi-ren"} <= herbs(shipped, "flavor:bland and action:promote-urination")
    aconites = set(shipped.match("trait:aconitine and dose-max[route:decoction]"))
    assert {"fu-zi", "zhi-chuan-wu", "zhi-cao-wu"} <= aconites
    assert aconites <= set(shipped.match("handling:decoct-first and minutes-min:30..[handling:decoct-first]"))


def test_aristolochic_acid_is_withdrawn_or_kept_very_small(shipped: Materia) -> None:
    """Birthwort fruit, herb and roots, southern fangchi and Manchurian stem are no longer used; asarum root is left, at
    three grams at most (common practice, no source)."""
    withdrawn = {"ma-dou-ling", "tian-xian-teng", "qing-mu-xiang", "guang-fang-ji", "guan-mu-tong", "xun-gu-feng"}
    assert herbs(shipped, "status:withdrawn and trait:aristolochic-acid") == withdrawn
    assert "xi-xin" in shipped.match("trait:aristolochic-acid and dose-max:..3[route:decoction]")
    assert not set(shipped.match("status:withdrawn")) & set(shipped.match("dose-max"))


def test_rules_are_many_and_differ_in_more_than_their_terms(rules: list[Rule]) -> None:
    """At least 240 rules, 60 of them about safety, differ in shape: with every value struck out no two are alike."""
    assert shape("nature:..cool and dose-max:..3.5[route:pill]") == "nature:..? and dose-max:..?[route:?]"
    shapes = {(rule.over, shape(str(rule.when)), shape(str(rule.expect)), rule.safety) for rule in rules}
    assert len(shapes) >= 240
    assert sum(safety for *_, safety in shapes) >= 60
    assert all(rule.strength == "must" for rule in rules if rule.safety)


def shape(pattern: str) -> str:
    """The pattern with its values struck out, ranges kept apart: `nature:..cool` -> `nature:..?`."""
    return re.sub(r"(?<=[:=])[\w.,-]+", lambda value: re.sub(r"[\w,-]+(\.[\w,-]+)?", "?", value[0]), pattern)


def test_every_rule_keeps_its_own_examples(rules: list[Rule], facts: Facts) -> None:
    """What stands under `holds` holds and what stands under `breaks` breaks."""
    assert list(example_problems(rules, facts)) == []


def test_no_rule_is_broken_without_a_recorded_reason(shipped: Materia, rules: list[Rule]) -> None:
    """No rule of the shipped data leaves an error or a warning behind; those it softens carry the exception's
    reason."""
    names = {rule.id for rule in rules}
    found = [problem for problem in check(shipped).problems if problem.rule in names]
    assert [problem for problem in found if problem.severity != "note"] == []
    softened = {problem.rule for problem in found if "Excepted: " in problem.message}
    assert {"fragrance-is-pungent", "heavy-sinks", "sore-throat-wants-no-warmth"} <= softened


def test_nearly_all_properties_have_a_reason(shipped: Materia) -> None:
    """Of all natures, flavours and channels 96 % are explained or excepted, at most 12 % by exception, and fewer than
    half of the explained by the category alone."""
    explanation = explain_all(shipped)
    assert explanation.properties > 3000
    assert explanation.explained + explanation.excepted >= 0.96 * explanation.properties
    assert explanation.excepted <= 0.12 * explanation.properties
    assert 2 * explanation.only_category <= explanation.explained
