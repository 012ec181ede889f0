"""Bring a school's own spreadsheet or CSV to the tables: propose what each column and word means, ask what it cannot
decide, keep what it cannot place, and write what differs from the base as a layer. Exit 0 when nothing is left to ask,
1 when questions remain, 2 when the file cannot be read."""

import argparse
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble

if TYPE_CHECKING:
    from materia_data.change.adopt.result import Adopted, Difference, Question

_MOST = 12
_OURS = "mapping.toml"


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="an .xlsx, or a CSV in UTF-8, UTF-16, GBK or Big5")
    parser.add_argument("--out", metavar="DIR", required=True, help="the folder to write: mapping, layer, what differs")
    parser.add_argument("--mapping", metavar="FILE", help="the mapping of an earlier run, with your answers in it")
    parser.add_argument("--id", default="", help="the id of the layer (default: made from the file's name)")
    parser.add_argument("--title", default="", help="the title of the layer")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    from materia_data.change.adopt.adopt import adopt
    from materia_data.change.adopt.trouble import AdoptError

    out = Path(args.out)
    _free(out, args.mapping)
    materia = open_data(args)
    try:
        found = adopt(materia, Path(args.file), mapping=Path(args.mapping) if args.mapping else None, id=args.id,
                      title=args.title)  # fmt: skip
    except AdoptError as error:
        raise Trouble(f"{error}") from None
    _write(out, found)
    answer(args, lambda: _document(found), lambda: _text(found, out))
    return int(bool(found.open))


def _free(out: Path, mapping: str | None) -> None:
    """Refuse a folder that is not an earlier answer of ours, or one whose mapping would be written over unread."""
    if not args_name(out):
        raise Trouble("--out names no folder of its own. Name a new folder, such as adopted.")
    if not out.exists():
        if not out.parent.is_dir():
            raise Trouble(f"there is no folder {out.parent}. Make it first.")
        return
    if not out.is_dir() or out.is_symlink():
        raise Trouble(f"{out} is not a folder. Name a new one.")
    names = {path.name for path in out.iterdir()}
    if names and not {_OURS, "layer"} <= names:
        raise Trouble(f"{out} holds something else. Name a new folder.")
    if names and not mapping:
        raise Trouble(
            f"{out} holds an earlier answer. Add --mapping {out / _OURS} to go on from it, or name a new folder."
        )


def args_name(out: Path) -> str:
    """The folder's own name; empty for `.`, `..` and a root."""
    return "" if out.name in ("", "..") else out.name


def _write(out: Path, found: "Adopted") -> None:
    """The folder whole or not at all."""
    from materia_data.exporting.place import begin, recover, settle

    try:
        recover(out.parent, out.name)
        made = begin(out.parent, out.name)
        for path, text in found.files.items():
            target = made / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(text, encoding="utf-8", newline="\n")
        settle(made, out.parent, out.name)
    except OSError as error:
        raise Trouble(f"{out} cannot be written: {error.strerror}. What stood there still stands.") from None


def _document(found: "Adopted") -> dict[str, object]:
    document = {key: value for key, value in asdict(found).items() if key != "files"}
    return document | {"files": sorted(found.files)}


def _text(found: "Adopted", out: Path) -> str:
    lines = [f"{found.file}: {'; '.join(found.read_as)}", f"{len(found.subjects)} medicinals recognized"]
    lines += _block(
        "Columns",
        (f"{c.heading or c.number}: {c.means.replace('+', ' and ') or 'left out'} ({c.why})" for c in found.columns),
    )
    opened = found.open
    lines += _block(f"Questions ({len(opened)})", (f"{n}. {_asked(q)}" for n, q in enumerate(opened, 1)))
    told = [one for one in found.differences if one.safety]
    lines += _block("Safety: where the school differs", map(_differs, told))
    others = [one for one in found.differences if not one.safety]
    lines += _block("Elsewhere", map(_differs, others))
    written = sum(one.written for one in found.placed)
    same = sum(one.verdict == "same" for one in found.placed)
    held = sum(one.verdict == "held" for one in found.placed)
    kept = len(found.left_over)
    lines += [
        "",
        f"{len(found.placed)} values placed: {same} as in the base, {written} in the layer {found.id}, {held} waiting; "
        f"{kept} {'piece' if kept == 1 else 'pieces'} of text kept in left-over.csv",
        f"Written to {out}: mapping.toml, differences.csv, left-over.csv, placed.csv, layer/",
    ]
    if opened:
        lines.append(f"Answer in {out / _OURS}, then run again with --mapping {out / _OURS}")
    lines.append("For teaching; local law, the current pharmacopoeia and licensed practice decide.")
    return "\n".join(lines) + "\n"


def _asked(question: "Question") -> str:
    places = ", ".join(f"row {place.row}" for place in question.places[:3])
    more = f" and {len(question.places) - 3} more" if len(question.places) > 3 else ""
    return f"{question.asks} ({places}{more})"


def _differs(one: "Difference") -> str:
    what = {
        "looser": "LOOSER",
        "against": "AGAINST the base",
        "stricter": "stricter",
        "adds": "adds",
        "differs": "differs",
    }[one.kind]
    where = one.record.partition("|")[2].strip("|").replace("||", "|").replace("|", ", ") or one.column
    now = "" if one.written else ", not in the layer"
    change = f"{one.base or 'nothing'} → {one.school}{now} (row {one.place.row})"
    return f"{what}: {one.name}, {one.table.replace('_', ' ')} {where}: {change}"


def _block(title: str, lines: Iterable[str]) -> list[str]:
    said = [f"  {line}" for line in lines]
    if len(said) > _MOST + 3 and not title.startswith("Safety"):
        said = [*said[:_MOST], f"  … and {len(said) - _MOST} more"]
    return ["", title, *said] if said else []
