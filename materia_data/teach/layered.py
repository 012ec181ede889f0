"""What layers say of a subject, in sentences that every page about it prints."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from materia_data.materia import Materia
from materia_data.read.layers.over import LayerCell

_ALWAYS = ("herbs", "forms", "formulas")
_RECORDS = ("citations", "exceptions", "loosenings", "retired", "signoffs")


@dataclass(frozen=True, slots=True)
class LayerLine:
    """One sentence. layer, title: whose; loosens: whether safety stands weaker by it; recorded: whether the layer gives
    its reason (always true where nothing is loosened)."""

    layer: str
    title: str
    loosens: bool
    recorded: bool
    text: str


def layer_lines(materia: Materia, subjects: Sequence[str], items: Sequence[str] = ()) -> tuple[LayerLine, ...]:
    """What layers say of subjects that share a page: first what they loosen, then what else is theirs. Empty without a
    layer.

    items: further subjects of which only what is loosened concerns the page, as what a formula holds.
    """
    if not materia.layers:
        return ()
    everybody = list(dict.fromkeys((*subjects, *items)))
    loosened = [_loosened(materia, subject, everybody) for subject in everybody]
    return (*(line for lines in loosened for line in lines), *_said(materia, subjects))


def _loosened(materia: Materia, subject: str, subjects: Sequence[str]) -> Iterable[LayerLine]:
    for one in materia.loosened(subject):
        if one.inherited and materia.facts.herb_of(subject) in subjects:
            continue
        who = f"{_name(materia, subject)}, " if len(subjects) > 1 else ""
        by = ", ".join(filter(None, (one.source, one.by, one.on_date)))
        text = f"{who}{one.words}" + (f" ({by})" if by else "")
        yield LayerLine(one.layer, one.title, True, one.recorded, text)


def _said(materia: Materia, subjects: Sequence[str]) -> Iterable[LayerLine]:
    titles = {layer.id: layer.title for layer in materia.layers}
    added = {
        (cell.layer, cell.record)
        for cell in materia.package.said
        if cell.table in _ALWAYS and cell.column == "name_hans" and cell.how == "added"
    }
    records: dict[tuple[str, str, str], list[LayerCell]] = {}
    for subject in dict.fromkeys(subjects):
        for cell in materia.said(subject):
            if cell.table not in _RECORDS:
                records.setdefault((cell.layer, cell.table, cell.record), []).append(cell)
    for layer, id in sorted(added):
        if id in subjects:
            yield LayerLine(layer, titles[layer], False, True, f"{_name(materia, id)} is added by {titles[layer]}.")
    for (layer, table, record), cells in records.items():
        if not any((layer, part) in added for part in record.split("|")):
            said = ", ".join(dict.fromkeys(_cell(materia, cell) for cell in cells))
            says = "adds" if all(cell.how == "added" for cell in cells) else "says"
            about = _about(materia, table, record)
            yield LayerLine(layer, titles[layer], False, True, f"{about}: {titles[layer]} {says} {said}.")


def _about(materia: Materia, table: str, record: str) -> str:
    """`Cautions, 半夏, pregnancy`"""
    schema = materia.package.tables[table].schema
    named = [
        _label(materia, schema.by_name[column].refers, part)
        for column, part in zip(schema.key, record.split("|"), strict=False)
        if part
    ]
    return ", ".join(named if table in _ALWAYS else [schema.title, *named])


def _label(materia: Materia, refers: Sequence[str], id: str) -> str:
    """The name of a subject, the title of a unit, the English name of a term; else the text itself."""
    if id in materia:
        return _name(materia, id)
    for table in (materia.package.tables[name] for name in refers):
        for row in table.rows_of("id").get(id, ())[:1]:
            cells = table.row(row)
            return cells.get("name_en") or cells.get("title") or id
    return id


def _cell(materia: Materia, cell: LayerCell) -> str:
    """`state avoid (beneath: caution)`; of prose only that it is there."""
    field = materia.package.tables[cell.table].schema.by_name[cell.column]
    name = field.title.lower()
    if cell.how in ("removed", "cleared"):
        return f"nothing of {name}" + ("" if field.prose else f" (beneath: {_shown(cell.was)})")
    if field.prose:
        return f"{name} in its own words"
    return f"{name} {_shown(cell.now)}" + (f" (beneath: {_shown(cell.was)})" if cell.was else "")


def _shown(text: str) -> str:
    return text.replace(";", ", ")


def _name(materia: Materia, subject: str) -> str:
    kind = materia.package.subject_table(subject)
    table = materia.package.tables[kind or "herbs"]
    rows = table.rows_of("id").get(subject, ())
    return table.columns["name_hans"][rows[0]] if rows else subject
