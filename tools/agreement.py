"""How far two hands agree that entered the same values: `python tools/agreement.py write|check|print`.

Reads docs/data/second-entry/{herbs,formulas,antagonisms}.csv, entered by hands that did not see the package, and
settled.csv, how each difference was settled; writes docs/data/agreement.md and docs/data/differences.csv. A cell the
second hand left empty was not recalled and counts as no comparison. Kappa: J. Cohen, Educational and Psychological
Measurement 20, 1960, 37-46; of a list each possible member of it is one yes-or-no question.
"""

import csv
import io
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DATA, ENTRY = ROOT / "datapackage", ROOT / "docs" / "data" / "second-entry"
HERB_COLUMNS = ("nature", "flavors", "channels", "toxicity", "dose", "pregnancy", "cooking")
_COOKING = (
    "decoct-first", "add-late", "wrap", "melt", "separate", "take-powder", "dissolve", "crush", "pills-powder-only",
    "steep", "not-decocted", "no-fire",
)  # fmt: skip


@dataclass(frozen=True)
class Pair:
    """One value entered twice: by the package and by the second hand."""

    subject: str
    column: str
    first: str
    second: str
    sure: str


def pairs() -> Iterator[Pair]:
    """Every value that both hands entered."""
    yield from _herb_pairs()
    yield from _formula_pairs()


def kappa(compared: Sequence[Pair]) -> float | None:
    """Cohen's kappa of one column; None where chance alone would agree on everything."""
    if any(";" in pair.first or ";" in pair.second for pair in compared):
        values = {value for pair in compared for value in (*pair.first.split(";"), *pair.second.split(";")) if value}
        answers = [(v in pair.first.split(";"), v in pair.second.split(";")) for pair in compared for v in values]
    else:
        answers = [(pair.first, pair.second) for pair in compared]  # type: ignore[misc]
    count = len(answers)
    if not count:
        return None
    agree = sum(a == b for a, b in answers) / count
    left, right = Counter(a for a, _ in answers), Counter(b for _, b in answers)
    chance = sum(left[value] * right[value] for value in left) / count**2
    return None if chance == 1 else (agree - chance) / (1 - chance)


def page() -> str:
    """docs/data/agreement.md."""
    compared = list(pairs())
    settled = {(row["subject"], row["column"]): row for row in _rows(ENTRY / "settled.csv")}
    lines = [
        "# Agreement of the two entries",
        "",
        "<!-- Made by `make generate` from docs/data/second-entry; change those, not this page. -->",
        "",
        "Each value was entered a second time by a hand that had not seen the first. What follows compares today's "
        "values with that second entry, so differences that were settled for the second hand no longer count.",
        "",
        "| column | compared | same | rate | kappa | differ |",
        "|---|---:|---:|---:|---:|---:|",
    ]
    for column in dict.fromkeys(pair.column for pair in compared):
        mine = [pair for pair in compared if pair.column == column]
        same = sum(_same(pair) for pair in mine)
        value = kappa(mine)
        shown = "" if value is None else f"{value:.3f}"
        rate = f"{same / len(mine):.1%}"
        lines.append(f"| {column} | {len(mine)} | {same} | {rate} | {shown} | {len(mine) - same} |")
    open_ = [pair for pair in compared if not _same(pair)]
    verdicts = Counter(settled[key]["verdict"] for pair in open_ if (key := (pair.subject, pair.column)) in settled)
    how = ", ".join(f"{count} {verdict}" for verdict, count in sorted(verdicts.items()))
    lines += [
        "",
        f"{len(open_)} differences stand in [differences.csv](differences.csv), with how each was settled: {how}.",
    ]
    return "\n".join(lines) + "\n"


def differences() -> str:
    """docs/data/differences.csv: each difference, how it was settled and why; empty verdict: not settled yet."""
    settled = {(row["subject"], row["column"]): row for row in _rows(ENTRY / "settled.csv")}
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("subject", "column", "first", "second", "sure", "verdict", "why"))
    for pair in pairs():
        if not _same(pair):
            row = settled.get((pair.subject, pair.column), {})
            shown = (pair.subject, pair.column, pair.first, pair.second, pair.sure)
            writer.writerow((*shown, row.get("verdict", ""), row.get("why", "")))
    return out.getvalue()


def _same(pair: Pair) -> bool:
    """The same values; the order of a list is the standard's and is compared by eye only."""
    return sorted(pair.first.split(";")) == sorted(pair.second.split(";"))


def _herb_pairs() -> Iterator[Pair]:
    herbs = {row["id"]: row for row in _rows(DATA / "herbs" / "herbs.csv")}
    doses, pregnancy, cooking = _doses(), _pregnancy(), _cooking()
    for row in _rows(ENTRY / "herbs.csv"):
        herb = herbs.get(row["id"])
        if herb is None:
            continue
        entered = {
            "nature": (herb["nature"], row["nature"]),
            "flavors": (herb["flavors"], row["flavors"]),
            "channels": (herb["channels"], row["channels"]),
            "toxicity": (herb["toxicity"], row["toxicity"]),
            "dose": (
                _nearest_dose(doses.get(row["id"], []), row),
                _dose(row["dose_min"], row["dose_max"], row["dose_unit"]),
            ),
            "pregnancy": (pregnancy.get(row["id"], ""), row["pregnancy"]),
            "cooking": (cooking.get(row["id"], ""), row.get("handling", "")),
        }
        for column in HERB_COLUMNS:
            first, second = entered[column]
            if (second and (first or column == "cooking")) or (column == "pregnancy" and (first or second)):
                yield Pair(row["id"], column, first, second, row["sure"])


def _doses() -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for row in _rows(DATA / "herbs" / "doses.csv"):
        if row["population"] == "adult" and row["per"] == "day":
            found.setdefault(row["subject"].split(".")[0], []).append(_dose(row["min"], row["max"], row["unit"]))
    return found


def _nearest_dose(recorded: Sequence[str], row: dict[str, str]) -> str:
    """The recorded range that is the second hand's, else the first."""
    wanted = _dose(row["dose_min"], row["dose_max"], row["dose_unit"])
    return wanted if wanted in recorded else recorded[0] if recorded else ""


def _dose(low: str, high: str, unit: str) -> str:
    return f"{_plain(low)}-{_plain(high)} {unit or 'g'}" if high else ""


def _plain(number: str) -> str:
    return f"{float(number):g}" if number else ""


def _pregnancy() -> dict[str, str]:
    """What the standard is said to state of the medicinal itself."""
    order = ("caution", "avoid", "contraindicated")
    found: dict[str, str] = {}
    for row in _rows(DATA / "herbs" / "cautions.csv"):
        if row["topic"] != "pregnancy" or row["evidence"] != "pharmacopoeia":
            continue
        if row["state"] in order and "." not in row["subject"]:
            found[row["subject"]] = max(found.get(row["subject"], "caution"), row["state"], key=order.index)
    return found


def _cooking() -> dict[str, str]:
    """Instructions of the medicinal or of any of its forms: the second hand does not tell them apart."""
    found: dict[str, dict[str, None]] = {}
    for row in _rows(DATA / "herbs" / "handling.csv"):
        if row["handling"] in _COOKING and not row["purpose"]:
            found.setdefault(row["subject"].split(".")[0], {})[row["handling"]] = None
    return {subject: ";".join(sorted(handlings)) for subject, handlings in found.items()}


def _formula_pairs() -> Iterator[Pair]:
    first: dict[str, dict[str, str]] = {}
    for row in _rows(DATA / "formulas" / "formula_items.csv"):
        if not row["alternative_to"]:
            first.setdefault(row["formula"], {})[row["subject"].split(".")[0]] = row["amount_g"]
    second: dict[str, dict[str, str]] = {}
    sure: dict[str, str] = {}
    for row in _rows(ENTRY / "formulas.csv"):
        second.setdefault(row["formula"], {})[row["herb"].split(".")[0]] = row["amount_g"]
        sure[row["formula"]] = row["sure"]
    for formula, herbs in second.items():
        if formula not in first:
            continue
        yield Pair(formula, "composition", ";".join(sorted(first[formula])), ";".join(sorted(herbs)), sure[formula])
        for herb, grams in herbs.items():
            if grams and first[formula].get(herb):
                yield Pair(f"{formula}|{herb}", "amount_g", _plain(first[formula][herb]), _plain(grams), sure[formula])


def _rows(path: Path) -> Iterable[dict[str, str]]:
    if not path.is_file():
        return []
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


OUTPUTS = {"docs/data/agreement.md": page, "docs/data/differences.csv": differences}


def main(arguments: list[str]) -> int:
    """Exit 0 if written or nothing differs, 1 if a page is out of date."""
    if arguments == ["print"]:
        print(page())
        return 0
    stale = [
        name
        for name, make in OUTPUTS.items()
        if not (ROOT / name).is_file() or (ROOT / name).read_text(encoding="utf-8") != make()
    ]
    if arguments == ["write"]:
        for name in stale:
            (ROOT / name).write_text(OUTPUTS[name](), encoding="utf-8", newline="\n")
        return 0
    if arguments == ["check"]:
        for name in stale:
            print(f"{name} is not what the entries give. Run `make generate`.")
        return 1 if stale else 0
    print("usage: python tools/agreement.py write|check|print", file=sys.stderr)
    return 2


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
