"""The tables for reading names elsewhere hold all that folding them here uses."""

from materia_data.materia import Materia
from materia_data.names.hearing import heard
from materia_data.names.keys import name_keys
from materia_data.names.wade_giles import wade_giles
from tests.little import little_package


def test_folding_by_the_tables_gives_what_folding_here_gives() -> None:
    """By hand from the tables: a sound folded by both ears, a reading in Wade–Giles, a radical, a reading."""
    little = Materia(little_package())
    keys = name_keys(little.package, little.names)
    for ears in ("local", "foreign"):
        base = "zhangnaqihuang"
        for sound, written, whose in keys.sounds:
            if ears == "foreign" or whose == ears:
                base = base.replace(sound, written)
        assert base == heard("zhangnaqihuang", ears)
    assert keys.syllables["xia"] == "hsia" and wade_giles("bàn xià") == keys.syllables["ban"] + keys.syllables["xia"]
    assert keys.radicals["⻨"] == "麦"
    assert keys.others["伴"][0] == "bàn" and not keys.others.keys() & keys.readings.keys()
    assert {"of", "et"} <= set(keys.small)


def test_every_stored_name_is_there_with_its_harm() -> None:
    """As many as the index has, in its order."""
    little = Materia(little_package())
    keys = name_keys(little.package, little.names)
    assert [name.text for name in keys.names] == little.names.names.text
    assert keys.harm == little.names.harm
