"""Single cells as schools write them, and what they come to. Facts of the trade: common practice, no source."""

import pytest

from materia_data.change.adopt.against import dose_rows
from materia_data.change.adopt.cells import Asked, read_cell
from materia_data.change.adopt.doses import Known
from materia_data.change.adopt.headings import understand
from materia_data.change.adopt.identity import Identifier
from materia_data.change.adopt.say import Reading
from materia_data.change.adopt.sheets import tidy


def _read(identifier: Identifier, roles: str, text: str, subject: str = "ban-xia", unit: str = "") -> list[Reading]:
    rows = dose_rows(identifier.lexicon.materia.facts, subject)
    known = Known(tuple((row["route"], row["min"], row["max"], row["unit"]) for row in rows))
    return read_cell(identifier, Asked(tidy(text), tuple(roles.split("+")), unit, "", subject, known))


def _said(readings: list[Reading]) -> set[str]:
    return {str(one) for reading in readings if reading.sure for one in reading.says}


DECOCTION = "doses route=decoction per=day population=adult"


@pytest.mark.parametrize(
    ("roles", "text", "said"),
    [
        ("dose", "3-9g", {f"{DECOCTION} min=3 max=9 unit=g"}),
        ("dose", "3～9 g (decoction)", {f"{DECOCTION} min=3 max=9 unit=g"}),
        ("dose", "煎服，3—9克", {f"{DECOCTION} min=3 max=9 unit=g"}),
        ("dose", "3 to 9 grams a day", {f"{DECOCTION} min=3 max=9 unit=g"}),
        ("dose", "1.5-3g, powder", {"doses route=powder per=day population=adult min=1.5 max=3 unit=g"}),
        ("dose", "外用适量", {"doses route=external per=day population=adult"}),
        ("dose", "15-30g, decoct first 30 min",
         {f"{DECOCTION} min=15 max=30 unit=g", "handling handling=decoct-first minutes_min=30"}),
        ("handling", "先煎", {"handling handling=decoct-first"}),
        ("handling", "boil 30-60 min before others",
         {"handling handling=decoct-first minutes_min=30 minutes_max=60"}),
        ("handling", "add last 5 min", {"handling handling=add-late"}),
        ("handling", "must be wrapped", {"handling handling=wrap force=required"}),
        ("flavors+nature", "sl. sweet, bit / v. cold",
         {"herbs nature=very-cold", "herbs flavors=slightly-sweet;bitter"}),
        ("flavors+nature", "甘苦微寒", {"herbs nature=slightly-cold", "herbs flavors=sweet;bitter"}),
        ("properties", "辛、甘，溫，有小毒。歸肺、膀胱經", {
            "herbs nature=warm", "herbs flavors=pungent;sweet", "herbs toxicity=slight",
            "herbs channels=lung;bladder"}),
        ("channels", "Sp, Liv, Kid", {"herbs channels=spleen;liver;kidney"}),
        ("channels", "LU, LI, UB, SJ", {"herbs channels=lung;large-intestine;bladder;triple-burner"}),
        ("cautions", "contraindicated in pregnancy; caution w/ yin def heat", {
            "cautions topic=pregnancy state=contraindicated",
            "cautions topic=pattern target=yin-deficiency-heat state=caution"}),
        ("cautions", "孕妇及阴虚火旺者忌服", {
            "cautions topic=pregnancy state=avoid", "cautions topic=pattern target=yin-deficiency-heat state=avoid"}),
        ("cautions", "Avoid with blood thinners", {"cautions topic=drug target=anticoagulants state=avoid"}),
        ("topic:pregnancy", "慎用", {"cautions topic=pregnancy state=caution"}),
        ("antagonisms", "反乌头", {
            "antagonisms with=chuan-wu list=eighteen state=contraindicated",
            "antagonisms with=cao-wu list=eighteen state=avoid"}),
        ("actions", "Invigorates Blood & qi", {
            "herb_actions action=move-blood polarity=does", "herb_actions action=move-qi polarity=does"}),
        ("actions", "nourishes yin and blood", {
            "herb_actions action=nourish-yin polarity=does", "herb_actions action=tonify-blood polarity=does"}),
        ("actions", "缓急止痛", {
            "herb_actions action=relax-tension polarity=does", "herb_actions action=stop-pain polarity=does"}),
        ("actions", "利水消肿", {"herb_actions action=reduce-edema polarity=does"}),
        ("actions", "clears Liver fire", {"herb_actions action=drain-fire site=liver polarity=does"}),
        ("actions", "tonif. qi, reg. menses; rel. exterior", {
            "herb_actions action=tonify-qi polarity=does", "herb_actions action=regulate-menses polarity=does",
            "herb_actions action=release-exterior polarity=does"}),
        ("actions", "engenders fluids. raises yang.", {
            "herb_actions action=engender-fluids polarity=does", "herb_actions action=raise-yang polarity=does"}),
        ("nature", "sl.cld", {"herbs nature=slightly-cold"}),
        ("channels", "Peric., Gallbl.", {"herbs channels=pericardium;gallbladder"}),
        ("handling", "never in the pot", {"handling handling=not-decocted"}),
        ("handling", "at the end", {"handling handling=add-late"}),
    ],
)  # fmt: skip
def test_a_plain_cell_is_read_without_a_question(identifier: Identifier, roles: str, text: str, said: set[str]) -> None:
    """What stands in it is said in our terms, all of it and nothing else."""
    readings = _read(identifier, roles, text)
    assert _said(readings) == said
    assert all(reading.sure for reading in readings)


@pytest.mark.parametrize(
    ("roles", "text"),
    [
        ("dose", "6-12"),
        ("dose", "9-Mar"),
        ("dose", "3月9日"),
        ("dose", "3.9 g"),
        ("dose", "9"),
        ("dose", "9 g"),
        ("dose", "up to 9 g"),
        ("dose", "3-9 g (3-5)"),
        ("dose", "9-3 g"),
        ("dose", "1-3钱"),
        ("dose", "3-9g (up to 30g)"),
        ("dose", "3-9g, powder, 1-3g"),
        ("dose", "3-9 g raw"),
        ("dose", "6-9; 15 in severe cases"),
        ("dose", "3-9 g 2 times daily"),
        ("cautions", "Not in preg."),
        ("cautions", "pregnancy"),
        ("cautions", "avoid in pregnancy unless processed"),
        ("cautions", "safe in pregnancy"),
        ("cautions", "caution with yin deficiency"),
        ("cautions", "no contraindications in pregnancy"),
        ("cautions", "pregnancy caution, yin def heat"),
        ("topic:pregnancy", "no"),
        ("topic:pregnancy", "yes"),
        ("topic:pregnancy", "OK"),
        ("topic:pregnancy", "avoid 1st trimester"),
        ("antagonisms", "Gan Sui"),
        ("antagonisms", "da ji"),
        ("antagonisms", "some minerals"),
        ("flavors", "bitter, toxic"),
        ("channels", "Li"),
        ("toxicity", "a bit"),
        ("handling", "boil gently with dates"),
    ],
)
def test_what_is_not_certain_is_asked(identifier: Identifier, roles: str, text: str) -> None:
    """Nothing of safety is said without a question where one word of the cell is open."""
    readings = _read(identifier, roles, text)
    assert any(not reading.sure for reading in readings)
    assert not [one for reading in readings if reading.sure for one in reading.says if one.safety]


def test_a_single_number_is_the_most_or_the_only_amount_as_a_person_says(identifier: Identifier) -> None:
    """Ten in a column of grams: both readings are offered, the milder claim first, and neither is taken."""
    (reading,) = _read(identifier, "dose", "10", unit="g")
    assert not reading.sure and not reading.says
    assert [str(one) for choice in reading.choices for one in choice] == [
        f"{DECOCTION} max=10 unit=g", f"{DECOCTION} min=10 max=10 unit=g",
    ]  # fmt: skip


def test_an_amount_counted_beside_grams_is_kept(identifier: Identifier) -> None:
    """Grams with the same in pieces behind them: the grams are the dose, the pieces are kept as written."""
    grams, pieces = _read(identifier, "dose", "6-15 g (3-5 pcs)", subject="da-zao")
    assert grams.sure and _said([grams]) == {f"{DECOCTION} min=6 max=15 unit=g"}
    assert (pieces.role, pieces.text) == ("kept", "3-5 pcs")


@pytest.mark.parametrize(("roles", "text"), [("actions", "re. qi"), ("channels", "s., l."), ("toxicity", "slig")])
def test_a_word_cut_too_short_is_not_filled_in(identifier: Identifier, roles: str, text: str) -> None:
    """Where the beginning of a word may be that of several, nothing is said."""
    assert not _said(_read(identifier, roles, text))


def test_a_bare_amount_is_a_decoction_only_where_one_is_on_record(identifier: Identifier) -> None:
    """Croton is never boiled: three grams of it, with no word on how, are asked about."""
    (reading,) = _read(identifier, "dose", "0.1-0.3g", subject="ba-dou")
    assert not reading.sure
    (reading,) = _read(identifier, "dose", "2-10", subject="gan-cao")
    assert reading.sure


@pytest.mark.parametrize(
    ("heading", "roles", "unit"),
    [
        ("flavour & temp", ("flavors", "nature"), ""),
        ("dose (g/day)", ("dose",), "g"),
        ("性味归经", ("properties", "channels"), ""),
        ("用法用量(克)", ("handling", "dose"), "g"),
        ("contra/cautions", ("cautions",), ""),
        ("incompat.", ("antagonisms",), ""),
        ("preg?", ("topic:pregnancy",), ""),
        ("english name", ("name_en",), ""),
        ("herb (pinyin)", ("name", "pinyin"), ""),
        ("price", ("leave",), ""),
        ("zzz", (), ""),
    ],
)
def test_headings_are_understood(heading: str, roles: tuple[str, ...], unit: str) -> None:
    """English, Chinese, short and joined headings name what their columns hold."""
    headed = understand(heading)
    assert (set(headed.roles), headed.unit) == (set(roles), unit)


@pytest.mark.parametrize(
    ("text", "subjects"),
    [
        ("麻黄 (ma huang)", ("ma-huang",)),
        ("Huang Qi", ("huang-qi",)),
        ("紅花*", ("hong-hua",)),
        ("北芪/黄芪", ("huang-qi",)),
        ("附子(制)", ("fu-zi",)),
        ("半夏 (法)", ("ban-xia.fa",)),
    ],
)
def test_names_in_any_dress_are_resolved(identifier: Identifier, text: str, subjects: tuple[str, ...]) -> None:
    """Two scripts in one cell, a by-name and marks do not hide which one is meant."""
    meant = identifier.text(text)
    assert meant.sure and meant.subjects == subjects


@pytest.mark.parametrize(
    "text", ["da ji", "防己", "贝母", "沙参", "白术 / 白芍", "黄芪 (honey-fried)", "raw ban xia root"]
)
def test_names_of_several_are_never_guessed(identifier: Identifier, text: str) -> None:
    """A name that may mean several, or two names that differ, is left open."""
    assert not identifier.text(text).sure


def test_a_short_name_of_a_withdrawn_one_is_pointed_out(identifier: Identifier) -> None:
    """木通 may stand on a drawer of 关木通, 木香 on one of 青木香 (both hold aristolochic acid)."""
    assert "guan-mu-tong" in identifier.may_hide("mu-tong")
    assert "qing-mu-xiang" in identifier.may_hide("mu-xiang")
    assert identifier.may_hide("gan-cao") == ()
