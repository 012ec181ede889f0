"""Facts of whatever the tables hold, and whose word each is."""

from hypothesis import given, settings
from hypothesis import strategies as st

from materia_data.facts.build import build_facts
from materia_data.facts.predicates import predicates
from materia_data.read.package import Package
from materia_data.read.schema import table_schemas
from tests.facts.ask import FORM, HERB, cited, facts_of, truth, values
from tests.strategies import package_of, packages


def test_a_citation_speaks_for_its_cell() -> None:
    """A citation gives one cell its own source and basis; the row's basis speaks for the other cells."""
    citation = cited("herbs", "a", "nature", "warm", locator="p. 7")
    facts = facts_of({"nature": "warm", "flavors": "sweet", "source": "classic"}, citations=[citation])
    (nature,), (flavor,) = facts.of("a", "nature"), facts.of("a", "flavor")
    assert (nature.source, nature.locator, nature.basis) == ("standard", "p. 7", "collated")
    assert (flavor.source, flavor.locator, flavor.basis) == ("classic", "", "memory")


def test_a_citation_speaks_for_one_item() -> None:
    """A citation of a list item gives that item its source, and no other."""
    facts = facts_of({"flavors": "sweet;sour"}, citations=[cited("herbs", "a", "flavors", "", value="sour")])
    assert [(fact.value, fact.basis) for fact in facts.of("a", "flavor")] == [("sweet", "memory"), ("sour", "collated")]


def test_a_citation_that_disagrees_does_not_speak() -> None:
    """A source that states another value is no authority for the one that stands."""
    facts = facts_of({"nature": "warm"}, citations=[cited("herbs", "a", "nature", "cold")])
    (nature,) = facts.of("a", "nature")
    assert (nature.source, nature.basis) == ("", "memory")


def test_unknown_words_are_kept_as_they_are() -> None:
    """An id that no vocabulary knows is a fact all the same: to say that it is unknown is a check's business."""
    facts = facts_of(
        {"nature": "tepid", "flavors": "sweet;umami"},
        {"herb": "nobody"},
        herb_actions=[{"subject": "nobody", "action": "x"}],
    )
    assert values(facts, "nature", "a") == ["tepid"]
    assert values(facts, "flavor", "a") == ["sweet", "umami"]
    assert [fact for fact in facts.of("a.x") if fact.inherited_from] == []
    assert truth(facts, "nature:..warm") is False, "the cell is filled, and not with that"


def test_a_circle_in_broader_ends() -> None:
    """Terms that are broader than each other are taken in by each other, and nothing hangs."""
    tables = {"flavors": [{"id": "sweet", "broader": "sour"}, {"id": "sour", "broader": "sweet"}]}
    facts = build_facts(package_of(tables | {"herbs": [HERB | {"flavors": "sweet"}]}))
    assert truth(facts, "flavor:sour") is True


def test_duplicate_ids_are_one_subject() -> None:
    """Two rows with one id are one subject, whose facts are those of both."""
    facts = facts_of(herbs=[HERB | {"nature": "warm"}, HERB | {"nature": "cold"}], forms=[FORM, FORM])
    assert facts.subjects == ("a", "a.x")
    assert values(facts, "nature", "a") == ["warm", "cold"]


def test_an_empty_package() -> None:
    """No rows, no subjects, no facts, and every question has an answer."""
    facts = build_facts(package_of({}))
    assert facts.subjects == ()
    assert facts.looser == []


_tables = st.sampled_from(
    ["herbs", "forms", "formulas", "herb_actions", "cautions", "doses", "handling", "citations", "actions"]
)
_columns = st.sampled_from(["id", "subject", "herb", "broader", "rank", "min", "flavors", "state", "action"])
_cells = st.text(max_size=8) | st.sampled_from(["a", "a.x", "-", ";", "-;-", "1e9", "−3", "٣", "NaN"])


@given(st.dictionaries(_tables, st.lists(st.dictionaries(_columns, _cells)), max_size=5))
@settings(max_examples=100, deadline=None)
def test_any_text_builds(tables: dict[str, list[dict[str, str]]]) -> None:
    """Facts are built from any text whatever, and each can be read out."""
    facts = build_facts(package_of(tables))
    for subject in facts.subjects:
        assert facts.kind(subject) in ("herbs", "forms", "formulas")
        for fact in [*facts.of(subject), *facts.own(subject)]:
            assert fact.subject == subject and fact.value


@given(packages())
@settings(max_examples=40, deadline=None)
def test_every_fact_names_its_cell(package: Package) -> None:
    """The file, line and column of a fact hold its value; an inherited fact's row is about the herb it names."""
    facts = build_facts(package)
    for subject in facts.subjects:
        for fact in facts.of(subject):
            table = package.tables[fact.table]
            row = table.row(fact.line - 2)
            if fact.predicate not in ("dose-min", "dose-max", "max-days", "minutes-min", "disputed"):
                assert fact.value in row[fact.column].split(";")
            if fact.predicate not in ("opposes", "disputed"):
                column = predicates()[fact.predicate].subject_column(fact.table, fact.column)
                assert row[column] == (fact.inherited_from or subject)


def test_every_predicate_is_well_declared() -> None:
    """Each source column stands in its table, carries the predicate in its schema, and has the declared qualifiers."""
    for name, predicate in predicates().items():
        for table, column in predicate.sources:
            field = table_schemas()[table].by_name[column]
            assert field.predicate == name or predicate.subject_columns or table == "citations"
            assert predicate.subject_column(table, column) in table_schemas()[table].by_name or table == "citations"
        assert set(predicate.key) <= {*predicate.qualifiers, name}
