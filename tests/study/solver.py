"""Answers quiz items by another route than they were made: SQL over the Parquet export, open world and all."""

from collections.abc import Sequence
from pathlib import Path

import duckdb

from materia_data.study.items.item import Item

CLOSED = {"nature": "nature", "flavor": "flavors", "channel": "channels"}
_SET_UP = """

create table above as
  with recursive edges as (
    select id, unnest(broader) as up from flavors union all select id, unnest(broader) from channels
    union all select id, unnest(broader) from actions
  ), reach as (
    select id, id as up from (select id from flavors union select id from channels union select id from actions
                              union select id from natures)
    union select reach.id, edges.up from reach join edges on reach.up = edges.id
  ) select distinct id, up from reach;
create table cells as
  select id as subject, 'nature' as predicate, [nature] as held from medicinals where nature is not null
  union all select id, 'flavor', flavors from medicinals where len(flavors) > 0
  union all select id, 'channel', channels from medicinals where len(channels) > 0;
create table disputed as
  select citations.record as subject,
         cells.predicate
  from citations join sources on citations.source = sources.id
  join cells on cells.subject = citations.record
   and cells.predicate = case citations."column" when 'flavors' then 'flavor'
                              when 'channels' then 'channel' else 'nature' end
  where citations.about_table in ('herbs', 'forms') and citations.value is null and citations.stated is not null
    and sources.kind in ('standard', 'law', 'textbook') and citations."column" in ('nature', 'flavors', 'channels')
    and list_sort(string_split(citations.stated, ';')) <> list_sort(cells.held);
create table acts as
  select id as subject, unnest(actions) as act, true as does from medicinals
  union all select id, unnest(actions_denied), false from medicinals;
create table warnings as
  select id as subject, c.topic as topic, coalesce(c.target, '') as target, c.state as state
  from (select id, unnest(cautions) as c from medicinals);
create table ways as
  select id as subject, h.handling as way, h.force as force, h.minutes_min as minutes
  from (select id, unnest(handling) as h from medicinals);
create table amounts as
  select id as subject, max(d.max) as ceiling, min(d.min) filter (d.purpose is null) as lowest
  from (select id, unnest(doses) as d from medicinals)
  where d.route = 'decoction' and d.per = 'day' and d.population = 'adult' group by id;
"""


class Solver:
    """Opens a Parquet export; `keys` gives the places of all options that are right of an item."""

    def __init__(self, export: Path) -> None:
        self._sql = duckdb.connect()
        for path in sorted(export.glob("*.parquet")):
            self._sql.execute(f"create view \"{path.stem}\" as select * from '{path}'")
        self._sql.execute(_SET_UP)

    def keys(self, item: Item) -> list[int]:
        """Right by the facts alone. An option of which the facts decide nothing raises AssertionError."""
        judge = {
            "property": self._stated,
            "odd-one-out": self._stated,
            "stand-out": self._stated,
            "prepared-form": self._stated,
            "reason": self._stated,
            "told-apart": self._apart,
            "cooking": self._cooked,
            "combination": self._combined,
            "formula-role": self._role,
            "faulty-recipe": self._faulty,
            "caution": self._caution,
        }[item.kind]
        return judge(item)

    def _one(self, query: str, values: Sequence[object]) -> object:
        row = self._sql.execute(query, list(values)).fetchone()
        return row[0] if row else None

    def _holds(self, subject: str, predicate: str, value: str) -> bool:
        """Whether the subject has the value; AssertionError where the facts leave it open."""
        if predicate == "action":
            does = self._one(
                "select count(*) from acts join above on above.id = acts.act where subject = ? and does and up = ?",
                [subject, value],
            )
            denied = self._one(
                "select count(*) from acts join above on above.up = acts.act "
                "where subject = ? and not does and above.id = ?",
                [subject, value],
            )
            assert bool(does) != bool(denied), f"{subject} {predicate} {value} is open"
            return bool(does)
        if predicate not in CLOSED:
            return self._listed(subject, predicate, value)
        held = self._one(
            "select count(*) from (select unnest(held) as one from cells where subject = ? and predicate = ?) "
            "join above on above.id = one where up = ?",
            [subject, predicate, value],
        )
        if held:
            return True
        near = self._one(
            "select count(*) from (select unnest(held) as one from cells where subject = ? and predicate = ?) "
            "left join above on above.id = ? and above.up = one where above.id is not null "
            "or exists (select 1 from natures a, natures b where a.id = one and b.id = ? and a.rank = b.rank)",
            [subject, predicate, value, value],
        )
        filled = self._one("select count(*) from cells where subject = ? and predicate = ?", [subject, predicate])
        open_cell = self._one("select count(*) from disputed where subject = ? and predicate = ?", [subject, predicate])
        assert filled and not near and not open_cell, f"{subject} {predicate} {value} is open"
        return False

    def _listed(self, subject: str, predicate: str, value: str) -> bool:
        if predicate == "toxicity":
            graded = "toxicity = ? and toxicity <> 'unmarked'"
            return bool(self._one(f"select count(*) from medicinals where id = ? and {graded}", [subject, value]))
        column = {"indication": "indications", "trait": "traits", "part": "parts", "direction": "directions"}[predicate]
        held = f"select count(*) from medicinals where id = ? and list_contains({column}, ?)"
        return bool(self._one(held, [subject, value]))

    def _stated(self, item: Item) -> list[int]:
        truths = [self._holds(one.claim.subject, one.claim.predicate, one.claim.value) for one in item.options]
        lacking = " not " in item.stem or item.stem.endswith((" not?", " does not?"))
        wanted = not (lacking or item.kind == "odd-one-out")
        return [place for place, truth in enumerate(truths) if truth is wanted]

    def _apart(self, item: Item) -> list[int]:
        one, two = item.about
        right = []
        for place, option in enumerate(item.options):
            predicate, value = option.claim.predicate, option.claim.value
            if self._holds(one, predicate, value) and not self._holds(two, predicate, value):
                right.append(place)
        return right

    def _cooked(self, item: Item) -> list[int]:
        if item.options[0].claim.predicate == "minutes-min":
            times = self._sql.execute(
                "select distinct minutes from ways where subject = ? and way = 'decoct-first' and minutes is not null",
                [item.about[0]],
            ).fetchall()
            assert len(times) == 1, f"{item.about[0]} has {len(times)} shortest times"
            return [place for place, option in enumerate(item.options) if float(option.claim.value) == times[0][0]]
        asked = item.options[item.key].claim.value
        right = []
        for place, option in enumerate(item.options):
            ways = dict(
                self._sql.execute(
                    "select way, force from ways where subject = ? and way in ('decoct-first', 'add-late', "
                    "'take-powder', 'dissolve', 'melt', 'pills-powder-only')",
                    [option.claim.subject],
                ).fetchall()
            )
            assert ways and "optional" not in ways.values(), f"{option.claim.subject} may be cooked another way"
            assert asked not in ways or len(ways) == 1, f"{option.claim.subject} is cooked in two ways"
            right += [place] if asked in ways else []
        return right

    def _opposed(self, one: str, two: str) -> bool:
        return bool(
            self._one("select count(*) from medicinals where id = ? and list_contains(opposes, ?)", [one, two])
            or self._one("select count(*) from medicinals where id = ? and list_contains(opposes, ?)", [two, one])
        )

    def _combined(self, item: Item) -> list[int]:
        subject, right = item.about[0], []
        for place, option in enumerate(item.options):
            if self._opposed(subject, option.claim.value):
                right.append(place)
            else:
                taught = self._one(
                    "select count(*) from pairs where list_contains(subjects, ?) and list_contains(subjects, ?) "
                    "and relation <> 'weakened-by'",
                    [subject, option.claim.value],
                )
                assert taught, f"{subject} with {option.claim.value} is open"
        return right

    def _role(self, item: Item) -> list[int]:
        formula = item.about[0]
        whole = self._one("select count(*) from formulas where id = ? and items_complete", [formula])
        assert whole, f"the items of {formula} are not complete"
        role = item.options[0].claim.predicate.partition("role:")[2].rstrip("]")
        right = []
        for place, option in enumerate(item.options):
            roles = self._sql.execute(
                "select roles from formula_items where formula = ? and subject = ?", [formula, option.claim.value]
            ).fetchall()
            named = {one for (listed,) in roles for one in listed or ()}
            assert named, f"{option.claim.value} has no role in {formula}"
            right += [place] if role in named else []
        return right

    def _faulty(self, item: Item) -> list[int]:
        right = []
        for place, option in enumerate(item.options):
            claim = option.claim
            if claim.predicate == "dose-max":
                low, high = self._sql.execute(
                    "select lowest, ceiling from amounts where subject = ?", [claim.subject]
                ).fetchall()[0]
                amount = float(claim.value)
                assert amount > high or low <= amount, f"{claim.subject} {amount} g is below the range"
                right += [place] if amount > high else []
            elif self._opposed(claim.subject, claim.value):
                right.append(place)
            else:
                together = self._one(
                    "select count(*) from (select formula from formula_items left join forms on forms.id = subject "
                    "where coalesce(forms.herb, subject) = ? intersect select formula from formula_items "
                    "left join forms on forms.id = subject where coalesce(forms.herb, subject) = ?)",
                    [claim.subject, claim.value],
                )
                assert together, f"{claim.subject} with {claim.value} is open"
        return right

    def _caution(self, item: Item) -> list[int]:
        asked = item.options[0].claim.predicate.partition("[")[2].rstrip("]").split(",")
        topic, target = (part.partition("=")[2] for part in asked)
        states = {
            state
            for (state,) in self._sql.execute(
                "select state from warnings where subject = ? and topic = ? and (target = ? or target = '')",
                [item.about[0], topic, target],
            ).fetchall()
        }
        assert len(states) == 1, f"{item.about[0]} has {len(states)} states on {topic} {target}"
        return [place for place, option in enumerate(item.options) if option.claim.value in states]
