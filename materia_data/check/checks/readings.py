"""Characters and how they are read: each stored form is tested by itself, none is derived from another."""

from collections.abc import Iterator

from materia_data.check.checks._scripts import settled_words, signs, syllables, toneless
from materia_data.check.readings import characters
from materia_data.check.registry import check
from materia_data.problem import Problem
from materia_data.read.package import Package
from materia_data.read.table import Table

_HANS, _HANT = "name_hans", "name_hant"


@check(
    id="syllable-no-reading-of-character",
    scope="package",
    severity="error",
    why="A wrong reading is taught, and then said at the counter.",
    passes=[
        {"herbs": [{"id": "e-zhu", "name_hans": "莪术", "name_hant": "莪朮", "pinyin": "é zhú"}]},
        {"herbs": [{"id": "bo-he", "name_hans": "薄荷", "name_hant": "薄荷", "pinyin": "bò he"}]},
    ],
    fails=[
        {"herbs": [{"id": "chuan-xiong", "name_hans": "川芎", "name_hant": "川芎", "pinyin": "chuān qiōng"}]},
        {"herbs": [{"id": "nu-zhen-zi", "name_hans": "女贞子", "name_hant": "女貞子", "pinyin": "nǚ zhēn zi"}]},
        {"actions": [{"id": "x", "name_hans": "止痛", "name_hant": "止痛", "pinyin": "zhí tòng"}]},
    ],
)
def syllable_no_reading_of_character(package: Package) -> Iterator[Problem]:
    """Yield a problem for each syllable that no dictionary gives for its character, in either script."""
    known = characters()
    for table in _with(package, "pinyin", _HANS):
        for row, (hans, hant, pinyin) in enumerate(_names(table)):
            spoken = syllables(pinyin)
            written = signs(hans)
            if len(spoken) != len(written):
                continue
            pairs = list(zip(written, spoken, strict=True))
            if len(signs(hant)) == len(spoken):
                pairs += zip(signs(hant), spoken, strict=True)
            for sign, syllable in dict.fromkeys(pairs):
                if sign in known and syllable not in known[sign].readings:
                    readings = known[sign].readings
                    yield table.problem(
                        row,
                        "pinyin",
                        "",
                        f"“{syllable}” is no reading of {sign} that the dictionaries give.",
                        tip=f"Write {_either(_nearest_reading(syllable, readings))}.",
                    )


@check(
    id="more-or-fewer-syllables",
    scope="package",
    severity="error",
    why="A reading that leaves a character out was made for another name.",
    passes=[{"herbs": [{"id": "bai-zhu", "name_hans": "白术", "name_hant": "白朮", "pinyin": "bái zhú"}]}],
    fails=[
        {"herbs": [{"id": "bai-zhu", "name_hans": "白术", "name_hant": "白朮", "pinyin": "bái"}]},
        {"herbs": [{"id": "bai-zhu", "name_hans": "白术", "name_hant": "白朮", "pinyin": "báizhú"}]},
        {"herbs": [{"id": "bai-zhu", "name_hans": "白术", "name_hant": "生白朮", "pinyin": "bái zhú"}]},
    ],
)
def more_or_fewer_syllables(package: Package) -> Iterator[Problem]:
    """Yield a problem for each reading or traditional name that is not as long as the simplified one."""
    for table in _with(package, _HANS):
        for row, (hans, hant, pinyin) in enumerate(_names(table)):
            length, spoken = len(signs(hans)), len(syllables(pinyin))
            if pinyin and hans and spoken != length:
                yield table.problem(
                    row,
                    "pinyin",
                    "",
                    f"{hans} has {_count(length, 'character')}, and the reading has {_count(spoken, 'syllable')}.",
                    tip="Give one syllable a character, with blanks between them.",
                )
            if hant and hans and len(signs(hant)) != length:
                yield table.problem(
                    row,
                    _HANT,
                    "",
                    f"{hans} has {_count(length, 'character')}, and {hant} has {len(signs(hant))}.",
                    tip=f"Write the same name, {hans}, in traditional characters.",
                )


@check(
    id="traditional-character-in-hans",
    scope="package",
    severity="error",
    why="A search for the simplified name would miss it.",
    passes=[
        {"herbs": [{"id": "gan-jiang", "name_hans": "干姜", "name_hant": "乾薑", "pinyin": "gān jiāng"}]},
        {"names": [{"subject": "demo-leaf", "name": "乾薑", "lang": "zh-Hant"}]},
    ],
    fails=[
        {"herbs": [{"id": "mo-yao", "name_hans": "没藥", "name_hant": "沒藥", "pinyin": "mò yào"}]},
        {"names": [{"subject": "demo-leaf", "name": "乾薑", "lang": "zh-Hans"}]},
        {"categories": [{"id": "x", "name_hans": "溫里药"}]},
    ],
)
def traditional_character_in_hans(package: Package) -> Iterator[Problem]:
    """Yield a problem for each simplified name with a character that only the traditional script has."""
    yield from _wrong_script(package, _HANS, "zh-Hans", "traditional", "simplified")


@check(
    id="simplified-character-in-hant",
    scope="package",
    severity="error",
    why="A search for the traditional name would miss it.",
    passes=[
        {"herbs": [{"id": "yu-li-ren", "name_hans": "郁李仁", "name_hant": "郁李仁", "pinyin": "yù lǐ rén"}]},
        {"names": [{"subject": "demo-leaf", "name": "白术", "lang": "zh-Hans"}]},
    ],
    fails=[
        {"herbs": [{"id": "bai-zhu", "name_hans": "白术", "name_hant": "白术", "pinyin": "bái zhú"}]},
        {"names": [{"subject": "demo-leaf", "name": "没药", "lang": "zh-Hant"}]},
        {"forms": [{"id": "demo-leaf.dan", "herb": "demo-leaf", "name_hans": "胆草", "name_hant": "胆草"}]},
    ],
)
def simplified_character_in_hant(package: Package) -> Iterator[Problem]:
    """Yield a problem for each traditional name with a character that only the simplified script has."""
    yield from _wrong_script(package, _HANT, "zh-Hant", "simplified", "traditional")


@check(
    id="word-read-otherwise",
    scope="package",
    severity="error",
    why="The character has that reading elsewhere, but not in this name.",
    passes=[
        {"herbs": [{"id": "cang-zhu", "name_hans": "苍术", "name_hant": "蒼朮", "pinyin": "cāng zhú"}]},
        {"actions": [{"id": "x", "name_hans": "手术", "name_hant": "手術", "pinyin": "shǒu shù"}]},
    ],
    fails=[
        {"herbs": [{"id": "cang-zhu", "name_hans": "苍术", "name_hant": "蒼朮", "pinyin": "cāng shù"}]},
        {"herbs": [{"id": "mo-yao", "name_hans": "没药", "name_hant": "沒藥", "pinyin": "méi yào"}]},
        {"forms": [{"id": "demo-leaf.x", "herb": "demo-leaf", "name_hans": "炒枳壳", "pinyin": "chǎo zhǐ ké"}]},
    ],
)
def word_read_otherwise(package: Package) -> Iterator[Problem]:
    """Yield a problem for each word of the trade whose stored reading is not the one it has."""
    for table in _with(package, "pinyin", _HANS):
        for row, (hans, _, pinyin) in enumerate(_names(table)):
            spoken = syllables(pinyin)
            if len(spoken) != len(hans):
                continue
            for start, word in settled_words(hans):
                read = spoken[start : start + len(word.hans)]
                if read != list(word.pinyin):
                    right = " ".join(word.pinyin)
                    yield table.problem(
                        row,
                        "pinyin",
                        "",
                        f"{word.hans} is read {right}, and the cell says {' '.join(read)}.",
                        tip=f"Write {right}.",
                    )


@check(
    id="word-written-otherwise",
    scope="package",
    severity="error",
    why="Changed over character by character, a name becomes another word in the traditional script.",
    passes=[{"herbs": [{"id": "yu-jin", "name_hans": "郁金", "name_hant": "鬱金", "pinyin": "yù jīn"}]}],
    fails=[
        {"herbs": [{"id": "yu-jin", "name_hans": "郁金", "name_hant": "郁金", "pinyin": "yù jīn"}]},
        {"herbs": [{"id": "gan-jiang", "name_hans": "干姜", "name_hant": "乾姜", "pinyin": "gān jiāng"}]},
        {"herbs": [{"id": "bai-zhu", "name_hans": "白术", "name_hant": "白術", "pinyin": "bái zhú"}]},
    ],
)
def word_written_otherwise(package: Package) -> Iterator[Problem]:
    """Yield a problem for each word of the trade that the traditional name writes with other characters."""
    for table in _with(package, _HANS, _HANT):
        for row, (hans, hant, _) in enumerate(_names(table)):
            if len(hans) != len(hant):
                continue
            for start, word in settled_words(hans):
                written = hant[start : start + len(word.hans)]
                if word.hant and written != word.hant:
                    yield table.problem(
                        row,
                        _HANT,
                        "",
                        f"{word.hans} is {word.hant} in traditional characters, and the cell says {written}.",
                        tip=f"Write {word.hant}.",
                    )


@check(
    id="character-without-reading",
    scope="package",
    severity="note",
    why="A character that the table of readings lacks is not judged at all.",
    passes=[{"herbs": [{"id": "bai-zhu", "name_hans": "白术", "name_hant": "白朮", "pinyin": "bái zhú"}]}],
    fails=[{"herbs": [{"id": "bai-zhu", "name_hans": "白𠀀", "name_hant": "白𠀀", "pinyin": "bái zhú"}]}],
)
def character_without_reading(package: Package) -> Iterator[Problem]:
    """Yield a note for each character of a name of which the table of readings knows nothing, once."""
    known, told = characters(), set[str]()
    for table in _with(package, _HANS):
        for row, names in enumerate(_names(table)):
            for column, name in zip((_HANS, _HANT), names, strict=False):
                for sign in name:
                    if sign not in known and not sign.isascii() and sign not in told:
                        told.add(sign)
                        message = (
                            f"The table of readings has no {sign}, so neither its reading nor its script is judged."
                        )
                        yield table.problem(row, column, "", message, tip="Look both up by hand.", value=sign)


def _wrong_script(package: Package, column: str, lang: str, wrong: str, right: str) -> Iterator[Problem]:
    known = characters()
    cells = [
        (table, row, column, name) for table in _with(package, column) for row, name in enumerate(table.columns[column])
    ]
    names = package.tables["names"]
    spoken = zip(names.columns["name"], names.columns["lang"], strict=True)
    cells += [(names, row, "name", name) for row, (name, its) in enumerate(spoken) if its.startswith(lang)]
    for table, row, where, name in cells:
        strange = [sign for sign in dict.fromkeys(name) if sign in known and known[sign].script == wrong]
        if strange:
            yield table.problem(
                row,
                where,
                "",
                f"{'、'.join(strange)} in {name} stands in the {wrong} script only.",
                tip=f"Write {name} in {right} characters.",
            )


def _with(package: Package, *columns: str) -> list[Table]:
    return [table for table in package.tables.values() if all(column in table.columns for column in columns)]


def _names(table: Table) -> Iterator[tuple[str, str, str]]:
    empty = [""] * len(table)
    columns = (table.columns.get(column, empty) for column in (_HANS, _HANT, "pinyin"))
    return zip(*columns, strict=True)


def _nearest_reading(syllable: str, readings: tuple[str, ...]) -> tuple[str, ...]:
    same = tuple(reading for reading in readings if toneless(reading) == toneless(syllable))
    return same or readings


def _either(readings: tuple[str, ...]) -> str:
    return readings[0] if len(readings) == 1 else f"{', '.join(readings[:-1])} or {readings[-1]}"


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
