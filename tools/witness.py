"""Five old books as a second witness: `python tools/witness.py write|check|print [--classics DIR]`.

With `--classics DIR`, `write` reads nature, flavours and channels out of the books' texts (UTF-8, a `<篇名>` before
each heading) into docs/data/witness/<book>.csv: values as ids of the package, never a sentence. Without it, `write`,
`check` and `print` work from those tables: against-all.csv lists each value that every book speaking of it contradicts,
keeping `verdict` and `why` as entered; docs/data/witness.md has the rates. names.csv says which medicinal an old name
means; an empty subject there is a name too ambiguous to use. Natures are compared as cold, neutral or warm; flavours
and channels agree if they share one.
"""

import csv
import io
import re
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HERBS, WITNESS = ROOT / "datapackage" / "herbs", ROOT / "docs" / "data" / "witness"
BOOKS = {
    "lei-gong-yao-xing-jie": "雷公炮制药性解",
    "ben-cao-bei-yao": "本草备要",
    "ben-cao-qiu-zhen": "本草求真",
    "shen-nong-ben-cao": "神农本草经",
    "ben-cao-gang-mu": "本草纲目",
}
COLUMNS = ("nature", "flavors", "channels")
_FLAVORS = {
    "辛": "pungent", "甘": "sweet", "酸": "sour", "苦": "bitter", "咸": "salty", "淡": "bland", "涩": "astringent",
}  # fmt: skip
_NATURES = {"寒": "cold", "冷": "cold", "凉": "cool", "平": "neutral", "温": "warm", "热": "hot"}
_GRADED = {
    "大寒": "very-cold", "微寒": "slightly-cold", "小寒": "slightly-cold", "小温": "slightly-warm",
    "微温": "slightly-warm", "大热": "very-hot", "微热": "warm",
}  # fmt: skip
_CLASSES = {
    "very-cold": "cold", "cold": "cold", "slightly-cold": "cold", "cool": "cold", "neutral": "neutral",
    "slightly-warm": "warm", "warm": "warm", "hot": "warm", "very-hot": "warm",
}  # fmt: skip
_ORGANS = {
    "大肠": "large-intestine", "小肠": "small-intestine", "膀胱": "bladder", "三焦": "triple-burner",
    "心包": "pericardium", "包络": "pericardium", "肺": "lung", "胃": "stomach", "脾": "spleen", "心": "heart",
    "肾": "kidney", "胆": "gallbladder", "肝": "liver",
}  # fmt: skip
_SIX = {
    "手太阴": "lung", "手少阴": "heart", "手厥阴": "pericardium", "手阳明": "large-intestine",
    "手太阳": "small-intestine", "手少阳": "triple-burner", "足太阴": "spleen", "足少阴": "kidney",
    "足厥阴": "liver", "足阳明": "stomach", "足太阳": "bladder", "足少阳": "gallbladder",
}  # fmt: skip
_PARTS = {
    "根": "root rhizome root-bark tuber", "子": "seed fruit kernel", "实": "fruit seed kernel ear", "仁": "seed kernel",
    "核": "seed kernel", "核仁": "seed kernel", "壳": "peel pericarp", "皮": "bark root-bark peel pericarp",
    "叶": "leaf", "花": "flower inflorescence bud", "茎": "stem vine", "茎叶": "stem leaf herb aerial-part",
    "苗": "herb aerial-part", "草": "herb aerial-part whole-herb", "肉": "flesh fruit aril body",
}  # fmt: skip
_ONE = "[微小大甚略]?[辛甘酸苦咸淡涩]"
_SAVOUR = re.compile(
    rf"(?:气味|味|性|气|则)*(?P<flavors>{_ONE}(?:(?:[、而兼]|，(?=[微小]?[辛甘酸苦咸淡涩][，。、而]))*{_ONE})*)"
    r"(?P<nature>[，。、]?[而性气]{0,2}(?P<grade>[微小大]?[寒热温凉平冷](?:、[寒热温凉平冷])?)(?:而(?P<late>[辛甘酸苦咸淡涩]))?)?"
    r"(?(nature)(?:[，。]性(?P<own>[微小大]?[寒热温凉平冷]))?|(?=[，。、]))"
)
_NAMED = re.compile(r"^(?P<name>[^\s（。，：]{1,6}) ?（(?P<note>[^）]*?专入[^）]*)）(?P<rest>.{0,60})", re.M | re.S)
_CHANNELS = {
    "lei-gong-yao-xing-jie": re.compile("入(.{1,16}?)[一二三四五六]?经"),
    "ben-cao-bei-yao": re.compile("入([手足太少厥阴阳明肺心肝脾肾胃大小肠膀胱胆三焦包络、，及兼]+)"),
}


@dataclass(frozen=True)
class Entry:
    """What one book says of one medicinal; lists join with `;`, an empty cell says nothing."""

    subject: str
    heading: str
    nature: str
    flavors: str
    channels: str


def extract(book: str, text: str) -> list[Entry]:
    """The first entry of each medicinal that the book has under a name we can place, by subject."""
    found: dict[str, Entry] = {}
    for name, part, heading, words, channels in _passages(book, text):
        subject = _subject(name, part)
        savour = _SAVOUR.match(words)
        if not subject or subject in found or not (savour or channels):
            continue
        nature, flavors = _read(savour) if savour else ("", "")
        found[subject] = Entry(subject, heading, nature, flavors, ";".join(channels))
    return [found[subject] for subject in sorted(found)]


def against_all() -> list[dict[str, str]]:
    """Each value of the package that every book speaking of it contradicts, with the books' values."""
    books = {book: {row["subject"]: row for row in _rows(WITNESS / f"{book}.csv")} for book in BOOKS}
    settled = {(row["subject"], row["column"]): row for row in _rows(WITNESS / "against-all.csv")}
    found = []
    for herb in _rows(HERBS / "herbs.csv"):
        for column in COLUMNS:
            said = {
                book: rows[herb["id"]][column]
                for book, rows in books.items()
                if herb["id"] in rows and rows[herb["id"]][column]
            }
            if said and herb[column] and not any(agrees(column, herb[column], value) for value in said.values()):
                row = {"subject": herb["id"], "column": column, "value": herb[column]}
                row["books"] = " ".join(f"{BOOKS[book]}={value}" for book, value in said.items())
                before = settled.get((herb["id"], column), {})
                same = before.get("value") == row["value"] and before.get("books") == row["books"]
                found.append(row | {key: before.get(key, "") if same else "" for key in ("verdict", "why")})
    return found


def agrees(column: str, ours: str, theirs: str) -> bool:
    """The same class of nature, or one flavour or channel in common; `slightly-bitter` is bitter here."""
    return bool(_broad(column, ours) & _broad(column, theirs))


def rates() -> dict[tuple[str, str], tuple[int, int]]:
    """(book, column) to how many values agree, of how many compared."""
    herbs = {row["id"]: row for row in _rows(HERBS / "herbs.csv")}
    found = {}
    for book in BOOKS:
        rows = [row for row in _rows(WITNESS / f"{book}.csv") if row["subject"] in herbs]
        for column in COLUMNS:
            both = [(herbs[row["subject"]][column], row[column]) for row in rows]
            compared = [(ours, theirs) for ours, theirs in both if ours and theirs]
            found[book, column] = (sum(agrees(column, *pair) for pair in compared), len(compared))
    return found


def page() -> str:
    """docs/data/witness.md."""
    lines = [
        "# Five old books as a second witness",
        "",
        "<!-- Made by `python tools/witness.py write` from docs/data/witness; change those, not this page. -->",
        "",
        "What the books say of nature, flavours and channels was read by program from digital copies and compared with "
        "the package. Natures agree if both are cold, both neutral or both warm; flavours and channels if one is in "
        "common. The books teach what their century taught, and nobody proofread the copies: a difference is a "
        "question, not an error.",
        "",
        "| book | column | compared | agree | rate |",
        "|---|---|---:|---:|---:|",
    ]
    for (book, column), (same, count) in rates().items():
        if count:
            lines.append(f"| {BOOKS[book]} | {column} | {count} | {same} | {same / count:.0%} |")
    rows = against_all()
    verdicts = [row["verdict"] or "not looked at" for row in rows]
    how = ", ".join(f"{verdicts.count(verdict)} {verdict}" for verdict in sorted(set(verdicts)))
    read = len({row["subject"] for book in BOOKS for row in _rows(WITNESS / f"{book}.csv")})
    lines += [
        "",
        f"The books speak of {read} medicinals. {len(rows)} values stand against every book that speaks of them; each "
        f"was looked at, and [against-all.csv](witness/against-all.csv) has the reason: {how}.",
    ]
    return "\n".join(lines) + "\n"


def _passages(book: str, text: str) -> Iterator[tuple[str, str, str, str, list[str]]]:
    """Name, part (of a plant with several, else empty), heading, the words on nature and flavour, channels."""
    for piece in text.split("<篇名>")[1:]:
        heading, _, body = piece.partition("\n")
        heading, body = heading.strip(), body.partition("<目录>")[0].partition("内容：")[2]
        if book == "ben-cao-qiu-zhen":
            for match in _NAMED.finditer(body):
                note, rest = _bare(match["note"]), _bare(match["rest"]).lstrip("。")
                yield match["name"], "", f"{heading}, {match['name']}", rest, _organs(note.partition("专入")[2])
        elif book == "ben-cao-gang-mu":
            yield from _parts(heading, body)
        else:
            body = re.sub(r"\\x.*?\\x", "", body, flags=re.S).strip()
            words = _bare(body.partition("\n")[2] if book == "ben-cao-bei-yao" else body).lstrip("。")
            named = _CHANNELS[book].search(words[:60]) if book in _CHANNELS else None
            channels = _organs(named[1]) if named else []
            yield heading, "", heading, words, channels


def _parts(heading: str, body: str) -> Iterator[tuple[str, str, str, str, list[str]]]:
    part = ""
    for line in body.splitlines():
        if mark := re.match(r"\\x(.+?)\\x", line.strip()):
            part = re.sub(r"（.*", "", mark[1])
        if match := re.search(r"【气味】(.*)", line):
            where = f"{heading}, {part}" if part else heading
            if len(part) > 1 and part not in _PARTS:
                yield part, "", where, match[1], []
            yield heading, part if part in _PARTS else "" if not part else "-", where, match[1], []
            yield heading + part, "", where, match[1], []


def _subject(name: str, part: str) -> str:
    """The medicinal that the name means, or nothing; a named part must be the one that is used."""
    name = re.sub(r"（.*", "", name)
    subject = _old_names().get(name, _names().get(name, ""))
    if part and subject:
        used = {word for id in _used_parts().get(subject, ()) for word in (id, *id.split("-"))}
        return subject if used & set(_PARTS.get(part, "").split()) else ""
    return subject


@cache
def _used_parts() -> Mapping[str, list[str]]:
    return {row["id"]: row["parts"].split(";") for row in _rows(HERBS / "herbs.csv")}


@cache
def _names() -> Mapping[str, str]:
    """Chinese names that mean one medicinal only; the standard name goes before all others."""
    standard = {row["name_hans"]: row["id"] for row in _rows(HERBS / "herbs.csv")}
    found: dict[str, set[str]] = {}
    for row in _rows(HERBS / "names.csv"):
        if row["lang"] == "zh-Hans" and row["kind"] in ("alternate", "old", "trade", "variant"):
            found.setdefault(row["name"], set()).add(row["subject"])
    one = {name: next(iter(subjects)) for name, subjects in found.items() if len(subjects) == 1}
    return {name: id for name, id in one.items() if id in standard.values()} | standard


@cache
def _old_names() -> Mapping[str, str]:
    return {row["name"]: row["subject"] for row in _rows(WITNESS / "names.csv")}


def _read(savour: re.Match[str]) -> tuple[str, str]:
    flavors = dict.fromkeys(_FLAVORS[sign] for sign in savour["flavors"] + (savour["late"] or "") if sign in _FLAVORS)
    words = savour["own"] or savour["grade"] or ""
    grades = [_GRADED.get(grade, _NATURES[grade[-1]]) for grade in words.split("、") if grade]
    return ";".join(grades), ";".join(flavors)


def _organs(text: str) -> list[str]:
    text = re.sub(r"手足(太阴|少阴|厥阴|阳明|太阳|少阳)", r"手\1足\1", text)
    signs = re.findall("|".join((*_SIX, *_ORGANS)), text)
    return list(dict.fromkeys((_SIX | _ORGANS)[sign] for sign in signs))


def _bare(text: str) -> str:
    """Joined lines without remarks in brackets."""
    text = re.sub(r"\s*\n\s*", "", text).replace("（）", "")
    while (shorter := re.sub(r"（[^（）]*）", "", text)) != text:
        text = shorter
    return text.strip()


def _broad(column: str, cell: str) -> set[str]:
    values = [value for value in cell.split(";") if value and value != "-"]
    if column == "nature":
        return {_CLASSES[value] for value in values}
    return {value.removeprefix("slightly-") for value in values}


def _rows(path: Path) -> list[dict[str, str]]:
    if not path.is_file():
        return []
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def _csv(columns: Iterable[str], rows: Iterable[Mapping[str, str]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, list(columns), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _differences() -> str:
    return _csv(("subject", "column", "value", "books", "verdict", "why"), against_all())


OUTPUTS = {"docs/data/witness/against-all.csv": _differences, "docs/data/witness.md": page}


def main(arguments: list[str]) -> int:
    """Exit 0 if written or nothing differs, 1 if a page is out of date, 2 if asked for something else."""
    match arguments:
        case ["write", "--classics", folder]:
            for book, title in BOOKS.items():
                entries = extract(book, (Path(folder) / f"{title}.txt").read_text(encoding="utf-8"))
                table = _csv(Entry.__dataclass_fields__, map(vars, entries))
                (WITNESS / f"{book}.csv").write_text(table, encoding="utf-8", newline="\n")
            return main(["write"])
        case ["write"]:
            for name, make in OUTPUTS.items():
                (ROOT / name).write_text(make(), encoding="utf-8", newline="\n")
            return 0
        case ["check"]:
            stale = [name for name, make in OUTPUTS.items() if (ROOT / name).read_text(encoding="utf-8") != make()]
            for name in stale:
                print(f"{name} is not what the tables give. Run `python tools/witness.py write`.")
            return 1 if stale else 0
        case ["print"]:
            print(page())
            return 0
    print("usage: python tools/witness.py write|check|print [--classics DIR]", file=sys.stderr)
    return 2


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
