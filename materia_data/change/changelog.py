"""The changelog's entry for a release: what changed since the last one, in words a teacher reads."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from materia_data.change.diff import Change, Diff
from materia_data.materia import Materia

_MOST = 25
_THINGS = {"herbs": "medicinal", "forms": "form", "formulas": "formula"}
_LOOSER = ("weakened", "removed")
_STRICTER = ("strengthened", "gained")
_ENTRY = re.compile(r"^## ", re.MULTILINE)
_SIGNS = {"<": "&lt;", ">": "&gt;", "@": "&#64;"} | {sign: f"\\{sign}" for sign in "\\`*_[]|#"}


def entry(old: Materia | None, new: Materia, version: str, on: date, found: Diff | None) -> str:
    """The entry as Markdown, LF at the end. old, found: the last release and what changed since, None for the first."""
    lines = [heading(version, on), ""]
    signed = new.signed_off[0].upper() + new.signed_off[1:]
    if old is None or found is None:
        counts = Counter(new.facts.kind(subject) for subject in new)
        held = ", ".join(_counted(counts[table], thing) for table, thing in _THINGS.items())
        return "\n".join([*lines, f"The first release: {held}. {signed}.", ""])
    lines.append(f"Since {found.old.partition('+')[0]}: {_counted(len(found.changes), 'change')}. {signed}.")
    looser = [change for change in found.changes if change.safety in _LOOSER]
    stricter = [change for change in found.changes if change.safety in _STRICTER]
    rest = [change for change in found.changes if change.safety == "none"]
    reasons = _reasons(old, new)
    if looser:
        lines += ["", "**Safety loosened**, each agreed and on record in `record/loosenings.csv`:", ""]
        lines += [_line(change, reasons) for change in looser]
    if stricter:
        lines += ["", "**Safety tightened**:", "", *_some(map(_line, stricter))]
    for title, changes in _groups(rest):
        lines += ["", f"**{title}**:", "", *_some(map(_line, changes))]
    return "\n".join(lines) + "\n"


def heading(version: str, on: date) -> str:
    """The line that an entry begins with."""
    return f"## Data {version}, {on.isoformat()}"


def with_entry(changelog: str, added: str) -> str:
    """The changelog with the entry before all others; as it is, if the entry stands there already."""
    if added.strip() in changelog:
        return changelog
    if not changelog.strip():
        return f"# Changelog\n\n{added}"
    first = _ENTRY.search(changelog)
    at = first.start() if first else len(changelog)
    before, after = changelog[:at].rstrip("\n"), changelog[at:]
    return f"{before}\n\n{added}" + (f"\n{after}" if after else "")


def escaped(text: str) -> str:
    """Text of the data as Markdown that shows it as it is."""
    return "".join(_SIGNS.get(sign, sign) for sign in text)


def _line(change: Change, reasons: Mapping[str, str] | None = None) -> str:
    told = [effect for effect in change.effects if effect not in change.words]
    words = change.words + (f" ({told[0]})" if told and change.safety in _LOOSER else "")
    subject = change.record.split("|")[0]
    because = (reasons or {}).get(subject, "")
    return f"- {escaped(words)}" + (f". {escaped(because)}" if because else "")


def _reasons(old: Materia, new: Materia) -> dict[str, str]:
    """By subject the reasons recorded since for what was loosened, with source and who answers for it."""

    def rows(materia: Materia) -> list[tuple[str, ...]]:
        columns = materia.package.tables["loosenings"].columns
        return list(zip(*(columns[name] for name in ("subject", "reason", "source", "by", "on_date")), strict=True))

    history, told = set(rows(old)), dict[str, list[str]]()
    for row in rows(new):
        if row not in history:
            subject, reason, source, by, _ = row
            told.setdefault(subject, []).append(f"{reason.rstrip('.')} ({', '.join(filter(None, (source, by)))})")
    return {subject: "; ".join(dict.fromkeys(reasons)) for subject, reasons in told.items()}


def _groups(changes: Iterable[Change]) -> Iterator[tuple[str, list[Change]]]:
    """New, gone and corrected records, in this order, as far as there are any."""
    groups: dict[str, list[Change]] = {"New": [], "Taken out": [], "Corrected": []}
    for change in changes:
        whole = not change.column
        kind = "New" if whole and not change.before else "Taken out" if whole and not change.after else "Corrected"
        groups[kind].append(change)
    yield from ((title, found) for title, found in groups.items() if found)


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _some(lines: Iterable[str]) -> list[str]:
    found = list(lines)
    more = len(found) - _MOST
    return found if more <= 1 else [*found[:_MOST], f"- … and {more} more: `materia diff` shows them all"]
