"""From plans to files: what nobody changed is taken from the store, the rest is made, rendered and kept."""

import json
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, is_dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from materia_exporters.site.assets import filled
from materia_exporters.site.book import Name, Told
from materia_exporters.site.keys import digest
from materia_exporters.site.page import Page, Plan
from materia_exporters.site.store import Kept, Store

_AT_ONCE = 400


@dataclass(frozen=True, slots=True)
class Laid:
    """The paths of all pages in their order, and of those among them that were rendered anew."""

    pages: tuple[str, ...]
    rendered: tuple[str, ...]


def lay(
    plans: Iterable[Plan | Page], common: Mapping[str, Any], words: Mapping[str, str], store: Store, out: Path
) -> Laid:
    """Write each page, and what stands beside it, into `out`. words: what tokens are filled in with.

    Pages are held a few hundred at a time, so that memory does not grow with the site.
    """
    from materia_exporters.site.build import render

    made: list[str] = []
    rendered: list[str] = []
    waiting: list[tuple[Page, Kept]] = []
    whole = digest(*(_said(value) for _, value in sorted(common.items()) if not callable(value)))

    def flush() -> None:
        if waiting:
            done = render([page for page, _ in waiting], common)
            for page, kept in waiting:
                files = {".html": done[page.path], **page.beside}
                store.keep(page.path, kept, json.dumps(files, ensure_ascii=False).encode("utf-8", "surrogatepass"))
                _write(out, page.path, files, words)
                rendered.append(page.path)
        waiting.clear()

    for plan in plans:
        made.append(plan.path)
        kept = store.pages.get(plan.path)
        inputs = digest(whole, plan.inputs) if isinstance(plan, Plan) and plan.inputs else b""
        if kept and inputs and kept.inputs == inputs and _again(store, plan.path, out, words):
            continue
        page = plan.make() if isinstance(plan, Plan) else plan
        shown = digest(whole, page.template, page.title, _said(page.values), _said(dict(page.beside)))
        if kept and kept.shown == shown and _again(store, plan.path, out, words):
            store.keep(plan.path, Kept(inputs, shown), None)
            continue
        waiting.append((page, Kept(inputs, shown)))
        if len(waiting) == _AT_ONCE:
            flush()
    flush()
    return Laid(tuple(made), tuple(rendered))


def _said(value: Any) -> str:
    """Text that is the same for equal values, and only for those."""
    return json.dumps(value, ensure_ascii=False, check_circular=False, default=_parts)


def _parts(value: Any) -> Any:
    if isinstance(value, Set):
        return sorted(value, key=repr)
    if isinstance(value, Name | Told):
        return _flat(value)
    if is_dataclass(value):
        return [type(value).__name__, *(getattr(value, name) for name in value.__dataclass_fields__)]
    return repr(value)


@lru_cache(maxsize=1 << 16)
def _flat(value: Name | Told) -> str:
    return repr(value)


def _again(store: Store, path: str, out: Path, words: Mapping[str, str]) -> bool:
    try:
        files = json.loads(store.html(path))
    except (KeyError, ValueError):
        return False
    _write(out, path, files, words)
    return True


def _write(out: Path, path: str, files: Mapping[str, str], words: Mapping[str, str]) -> None:
    for ending, text in files.items():
        file = out / (path.removesuffix(".html") + ending)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(filled(text, words), encoding="utf-8", newline="\n")
