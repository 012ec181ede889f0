"""A data package in use: `load()` reads it, and everything else is made when first asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from materia_data.places import data_root
from materia_data.read.descriptor import FILE
from materia_data.read.package import Package, read_package

if TYPE_CHECKING:
    import pandas
    import pyarrow

    from materia_data.check.layers.loosened import Loosened
    from materia_data.check.measure import Measure
    from materia_data.check.rules import Rule
    from materia_data.facts.facts import Facts
    from materia_data.find import Candidate
    from materia_data.names.index import Index
    from materia_data.read.layers.layer import Layer
    from materia_data.read.layers.over import LayerCell
    from materia_data.record import Record


def load(path: str | Path | None = None, layers: Sequence[str | Path] = ()) -> Materia:
    """Read a data package from its folder; without a path, the one that was shipped.

    layers: folders of layers to put over it, the lowest first. Reads whatever stands there; what is wrong with it is
    `materia check`'s to say. Raises FileNotFoundError if there is no such folder, or neither a descriptor nor a table
    in it; LayerError (a ValueError) for a layer without a sound layer.toml, or two that do not go together.
    """
    root = data_root() if path is None else Path(path)
    if not root.is_dir():
        raise FileNotFoundError(f"There is no folder {root}. Name the folder that holds datapackage.json.")
    package = read_package(root)
    if not (root / FILE).exists() and not any(table.readable for table in package.tables.values()):
        raise FileNotFoundError(f"There is no data package in {root}. Name the folder that holds datapackage.json.")
    if layers:
        from materia_data.read.layers.layer import read_layers
        from materia_data.read.layers.over import put_over

        package = put_over(package, read_layers(layers))
    return Materia(package)


class Materia:
    """The medicinals, forms and formulas of one package, by id: `m["ban-xia"]`, iteration over ids, `len(m)`."""

    def __init__(
        self,
        package: Package,
        names: Callable[[], Index] | None = None,
        measured: Callable[[], list[tuple[Rule, Measure]]] | None = None,
    ) -> None:
        self.package = package
        self._names, self._measured = names, measured

    @cached_property
    def facts(self) -> Facts:
        """The effective facts of every subject."""
        from materia_data.facts.build import build_facts

        return build_facts(self.package)

    @cached_property
    def measured(self) -> list[tuple[Rule, Measure]]:
        """Every readable rule with its measure, in file order and then as written."""
        if self._measured:
            return self._measured()
        from materia_data.check.measure import measure_all
        from materia_data.check.rules import read_rules

        rules, _ = read_rules(self.package, self.facts)
        return list(zip(rules, measure_all(rules, self.facts), strict=True))

    @cached_property
    def names(self) -> Index:
        """Every stored name, laid out for looking up."""
        from materia_data.names.index import build_index

        return self._names() if self._names else build_index(self.package)

    @cached_property
    def release_id(self) -> str:
        """The data version if the data files are those of that release; else with the first eight hex digits of the
        digest over them; and the same of each layer: `0.1.0+1a2b3c4d+second-school.5e6f7a8b`."""
        from materia_data.read.release import release_id

        return self.package.named(release_id(self.package.root))

    @cached_property
    def signed_off(self) -> str:
        """How far people answer for the safety of the data, in words to print beside the release: `not signed off`,
        `safety signed off for 3 of 9 subjects`, or `safety signed off`."""
        from materia_data.check.signoffs import in_words

        return in_words(self)

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The layers over the base, the lowest first: each with id, title and base."""
        return self.package.layers

    @cached_property
    def beneath(self) -> Materia | None:
        """The data without the last layer; None without one."""
        return None if self.package.beneath is None else Materia(self.package.beneath)

    @cached_property
    def all_loosened(self) -> tuple[Loosened, ...]:
        """Every safety fact that a layer weakens or hides, the lowest layer first."""
        from materia_data.check.layers.loosened import loosened

        return loosened(self)

    def loosened(self, subject: str) -> tuple[Loosened, ...]:
        """What layers weaken or hide of the safety facts of a herb, form or formula: what the layer says, what stands
        beneath, and why; every page about the subject shows it."""
        return tuple(each for each in self.all_loosened if each.subject == subject)

    def said(self, subject: str) -> tuple[LayerCell, ...]:
        """The cells that a layer says of a herb, form or formula, and of rows with it in their key."""
        return tuple(cell for cell in self.package.said if subject in cell.record.split("|"))

    def match(self, pattern: str) -> list[str]:
        """The ids for which the pattern is true, in table order. Raises PatternError, which points at the character."""
        from materia_data.facts.match import match
        from materia_data.facts.pattern import parse

        truth = match(parse(pattern, self.facts), self.facts)
        return [self.facts.subjects[number] for number in sorted(truth.true)]

    def resolve(self, text: str) -> list[Candidate]:
        """The subjects that a name may mean, best first, perhaps none: each with id, name_hans, score (0 to 1) and
        why."""
        from materia_data.find import find

        return find(self.package, text, self.names)

    def frame(self, table: str) -> pandas.DataFrame:
        """A table as a typed data frame. Raises KeyError naming the nearest tables."""
        frame: pandas.DataFrame = self.arrow(table).to_pandas()
        return frame

    def arrow(self, table: str) -> pyarrow.Table:
        """A table as a typed Arrow table: numbers float64, whole numbers int64, lists of text, empty cells null.
        Raises KeyError."""
        from materia_data.columns import arrow_table

        return arrow_table(self._table(table))

    def __getitem__(self, subject: str) -> Record:
        from materia_data.record import record

        if self.package.subject_table(subject) is None:
            from materia_data.suggest import did_you_mean

            named = [candidate.id for candidate in self.resolve(subject)[:1] if candidate.score == 1]
            tip = f"Did you mean {named[0]}?" if named else did_you_mean(subject, self)
            raise KeyError(f"There is no herb, form or formula {subject}. {tip}".strip())
        return record(self.package, subject)

    def __iter__(self) -> Iterator[str]:
        for table in ("herbs", "forms", "formulas"):
            yield from self.package.tables[table].columns["id"]

    def __len__(self) -> int:
        return sum(len(self.package.tables[table]) for table in ("herbs", "forms", "formulas"))

    def __contains__(self, subject: object) -> bool:
        return isinstance(subject, str) and self.package.subject_table(subject) is not None

    def __repr__(self) -> str:
        return f"<Materia {self.release_id}: {len(self)} subjects>"

    def _table(self, name: str) -> Any:
        name = name.replace("-", "_")
        if name not in self.package.tables:
            from materia_data.suggest import did_you_mean

            raise KeyError(f"There is no table {name}. {did_you_mean(name, self.package.tables)}".strip())
        return self.package.tables[name]
