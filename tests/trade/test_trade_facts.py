"""Facts that every school of the trade teaches, held against the whole package: common practice, no source."""

import pytest

from tests.trade.rows import data, shipped


def herbs() -> dict[str, dict[str, str]]:
    """Row of every medicinal by id."""
    return {row["id"]: row for row in shipped("herbs")}


def has(pattern: str) -> set[str]:
    """Medicinals, forms left out, of which the pattern is true."""
    ids = herbs().keys()
    return {str(getattr(one, "id", one)) for one in data().match(pattern)} & ids


def listed(subject: str, column: str) -> set[str]:
    """Members of a list cell of a medicinal."""
    return set(herbs()[subject][column].split(";"))


def handled(subject: str) -> set[str]:
    """What the package says to do with a medicinal in the pot."""
    return {row["handling"] for row in shipped("handling") if row["subject"] == subject}


def test_seaweeds_are_salty_and_soften() -> None:
    """Every seaweed is salty and softens hardness."""
    assert has("trait:seaweed") == has("trait:seaweed and flavor:salty and action:soften-hardness") != set()


OILY = [
    "huo-ma-ren", "tao-ren", "ku-xing-ren", "bai-zi-ren", "yu-li-ren", "hei-zhi-ma", "gua-lou-zi", "song-zi-ren",
    "he-tao-ren",
]  # fmt: skip
HARD = ["san-qi", "yan-hu-suo", "chuan-bei-mu", "zhe-bei-mu", "yi-bei-mu", "ping-bei-mu", "jin-guo-lan"]


@pytest.mark.parametrize("seed", OILY)
def test_oily_seeds_moisten_the_intestines(seed: str) -> None:
    """Hemp, peach, apricot, arborvitae, cherry, sesame, trichosanthes, pine and walnut kernels moisten the bowel."""
    assert seed in has("action:moisten-intestines")


def test_other_oily_seeds_that_do_not_moisten_are_poisons_or_move_qi() -> None:
    """Of all oily seeds only these do not: three poisonous ones, zanthoxylum seed and the tangerine's pip."""
    dry = has("trait:oily and part:seed") - has("action:moisten-intestines")
    assert dry == {"bi-ma-zi", "mu-bie-zi", "qian-jin-zi", "jiao-mu", "ju-he"}


def test_fragrant_dampness_medicinals_go_in_late() -> None:
    """Leaves, cardamoms and amomums of the category are added late; roots, barks, a flower, tsaoko and lotus leaf, a
    guest from another category, are not."""
    members = has("category:aromatic-transform-dampness")
    assert members - has("handling:add-late") == {"cang-zhu", "hou-po", "hou-po-hua", "cao-guo", "he-ye"}
    assert len(members) > 7


def test_resins_are_not_boiled_with_the_rest() -> None:
    """Each resin is kept out of the pot, or goes in by itself: in a bag, or in the last minutes."""
    ways = {"not-decocted", "pills-powder-only", "take-powder", "wrap", "add-late"}
    resins = has("trait:resin")
    assert len(resins) > 10
    assert [one for one in sorted(resins) if not handled(one) & ways] == []


@pytest.mark.parametrize("root", HARD)
def test_hard_roots_are_crushed_or_powdered(root: str) -> None:
    """Notoginseng, corydalis, the fritillaries and tinospora tuber give little whole: crushed, or taken as powder."""
    assert handled(root) & {"crush", "take-powder"}


def test_vines_reach_channels_and_sinews() -> None:
    """A vine frees the network vessels, relaxes sinews, dispels wind-dampness or moves the blood; two do not."""
    reach = "action:free-network-vessels or action:relax-sinews or action:dispel-wind-dampness or action:move-blood"
    vines = has("trait:vine")
    without = vines - has(f"trait:vine and ({reach})")
    assert len(vines) > 10
    assert without == {"gou-teng", "ji-shi-teng"}


def test_what_moves_blood_tends_to_enter_the_liver() -> None:
    """The liver stores the blood: of what moves it four in five enter the liver, far more than of the rest."""
    liver, movers = has("channel:liver"), has("action:move-blood")
    rest = herbs().keys() - movers
    share = len(movers & liver) / len(movers)
    assert len(movers) > 60
    assert share >= 0.8, sorted(movers - liver)
    assert share > len(rest & liver) / len(rest) + 0.3


def test_quince_is_sour_and_does_not_astringe() -> None:
    """Chaenomeles is sour, yet relaxes sinews and dissipates; nothing it does is astringent."""
    assert listed("mu-gua", "flavors") == {"sour"}
    assert "mu-gua" in has("action:relax-sinews")
    assert "mu-gua" not in has("action:astringe")


def test_clematis_is_salty_because_of_fish_bones() -> None:
    """A salty root of the wind-dampness category that softens a bone in the throat; no other does."""
    roots = "category=dispel-wind-dampness and part:root"
    assert has(f"{roots} and flavor:salty") == has(f"{roots} and action:soften-lodged-bone") == {"wei-ling-xian"}


def test_platycodon_is_a_neutral_guide_of_the_lung() -> None:
    """Neutral, lung only, rising, and it carries others upward."""
    row = herbs()["jie-geng"]
    assert (row["nature"], row["channels"], row["directions"]) == ("neutral", "lung", "ascending")
    assert "jie-geng" in has("action:guide-to-channel")


def test_barley_sprout_stops_milk() -> None:
    """It alone of the grains' sprouts does, and its caution in lactation stands."""
    assert has("action:stop-lactation") & {"mai-ya", "gu-ya", "dao-ya"} == {"mai-ya"}
    assert "mai-ya" in has("caution:caution..[topic:lactation]")


def test_cyperus_moves_qi_and_is_not_taught_as_moving_blood() -> None:
    """A rhizome of the qi category: it moves qi and regulates menses, and is stated not to move the blood."""
    assert "xiang-fu" in has("action:move-qi and action:regulate-menses and category:regulate-qi and part:rhizome")
    assert "xiang-fu" in has("states-not action:move-blood")


def test_charring_strengthens_stopping_of_bleeding() -> None:
    """Each charred form of a haemostatic stops bleeding, gained or stronger; palm bark is only ever charred."""
    rows = [row for row in shipped("herb_actions") if row["polarity"] == "does"]
    stops = {row["id"] for row in shipped("actions") if "stop-bleeding" in (row["id"], *row["broader"].split(";"))}
    stronger = {row["subject"] for row in rows if row["action"] in stops and row["change"] in ("gains", "stronger")}
    charred = {
        row["id"]
        for row in shipped("forms")
        if row["method"] == "charring" and herbs()[row["herb"]]["category"] == "stop-bleeding-herbs"
    }
    assert len(charred) > 10
    assert charred - stronger == {"zong-lu.tan"}


def test_mugwort_is_the_leaf_that_warms_to_stop_bleeding() -> None:
    """Haemostatics are mostly cool or neutral; mugwort leaf warms the channels, and has only ginger and hearth clay
    beside it."""
    members = has("category:stop-bleeding-herbs")
    warm = has("category:stop-bleeding-herbs and action:warm-channels-stop-bleeding")
    assert warm == {"ai-ye", "pao-jiang", "zao-xin-tu"}
    assert herbs()["ai-ye"]["nature"] == "warm"
    assert len(has("category:stop-bleeding-herbs and nature:..neutral")) > len(members) / 2


@pytest.mark.parametrize(
    ("pattern", "least"), [("action:calm-fetus", 5), ("indication:stony-strangury", 4)], ids=["fetus", "stones"]
)
def test_some_deeds_come_from_several_categories(pattern: str, least: int) -> None:
    """What calms the fetus and what dissolves stones are no category of their own."""
    assert len({herbs()[one]["category"] for one in has(pattern)}) >= least


def test_two_pairs_split_upper_and_lower_body() -> None:
    """Notopterygium above and angelica pubescens below; the cinnamon twig spreads to the lung and the surface, the
    bark goes down to the kidney."""
    assert "qiang-huo" in has("action:dispel-wind-dampness[site:upper-limbs] and direction:ascending")
    assert "du-huo" in has("action:dispel-wind-dampness[site:lower-limbs] and direction:descending")
    assert "gui-zhi" in has("channel:lung and direction:ascending") - has("channel:kidney")
    assert "rou-gui" in has("channel:kidney") - has("channel:lung") - has("direction:ascending")


def test_two_roots_split_moving_from_strengthening() -> None:
    """Both achyranthes and cyathula lead the blood down; only the root from Huai strengthens liver and kidney."""
    both = {"niu-xi", "chuan-niu-xi"}
    assert both <= has("action:conduct-blood-downward and action:resolve-stasis")
    assert both & has("action:strengthen-sinews-bones") == {"niu-xi"} == both & has("action:tonify-kidney")


def test_two_peels_of_one_fruit_split_middle_and_liver() -> None:
    """The ripe peel moves qi in the middle and enters the spleen, the green one breaks qi and soothes the liver."""
    taxa = [{row["taxon"] for row in shipped("species") if row["subject"] == one} for one in ("chen-pi", "qing-pi")]
    assert taxa[0] & taxa[1]
    assert "chen-pi" in has("action:move-qi[site:middle-burner] and channel:spleen") - has("action:soothe-liver")
    assert "qing-pi" in has("action:soothe-liver and action:break-qi and channel:liver") - has("channel:spleen")
