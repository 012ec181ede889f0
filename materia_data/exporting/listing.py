"""Which exporters are installed, read from metadata: none is imported."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from importlib.metadata import EntryPoint, entry_points

GROUP = "materia_data.exporters"
OURS = "materia-data"
BUILT_IN = {
    "jsonld": "linked data: one JSON-LD file with its context",
    "monographs": "a Markdown page for each medicinal and formula, in teaching order",
    "parquet": "every table typed, and one row a medicinal or form with what is effective",
    "site": "a reference site to read offline: search, categories, medicinals, formulas, rules",
    "spreadsheet": "",
    "sqlite": "",
    "study": "",
}
_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


@dataclass(frozen=True, slots=True)
class Exporter:
    """One exporter on offer.

    value: where its callable is, as `module:name`; distribution, version: what it was installed with; summary: one
    line, of a built-in ours, else its distribution's; refused: why it is not run, or the empty string.
    """

    name: str
    value: str
    distribution: str
    version: str
    summary: str
    refused: str = ""


def exporters(found: Iterable[EntryPoint] | None = None) -> list[Exporter]:
    """Every exporter that some distribution offers, built-in ones first, then by name; refused ones are listed too.

    found: entry points, by default those of the installed distributions.
    """
    offers = [_offer(point) for point in (entry_points(group=GROUP) if found is None else found)]
    listed = [_judged(offer, offers) for offer in dict.fromkeys(offers)]
    return sorted(listed, key=lambda one: (one.distribution != OURS, one.name, one.distribution))


def _offer(point: EntryPoint) -> Exporter:
    about = point.dist.metadata if point.dist is not None else None
    known = {} if about is None else {key: about[key] or "" for key in ("Name", "Version", "Summary") if key in about}
    distribution, version, summary = (known.get(key, "") for key in ("Name", "Version", "Summary"))
    if distribution == OURS:
        summary = BUILT_IN.get(point.name, "")
    return Exporter(point.name, point.value, distribution, version, " ".join(summary.split()))


def _judged(offer: Exporter, offers: Iterable[Exporter]) -> Exporter:
    if offer.distribution == OURS:
        return offer
    others = sorted({other.distribution for other in offers if other.name == offer.name} - {offer.distribution})
    if offer.name in BUILT_IN:
        reason = f"the name {offer.name} is kept for an exporter of {OURS}"
    elif not _NAME.fullmatch(offer.name) or len(offer.name) > 64:
        reason = "its name is no name for a folder: use lower-case words joined by hyphens"
    elif others:
        offer_it = "offers" if len(others) == 1 else "offer"
        reason = f"{' and '.join(others)} {offer_it} the same name; uninstall all but one"
    else:
        return offer
    return Exporter(offer.name, offer.value, offer.distribution, offer.version, offer.summary, reason)
