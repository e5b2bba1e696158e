"""A whole reference into the database and out again."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES, Costs, Mark, Reference, Tool
from floatbowl.shop.changes import version_now
from floatbowl.shop.load import LoadError, dump_reference, load_reference
from floatbowl.shop.models import Change

pytestmark = pytest.mark.django_db

# What a pack's file can hold: any text but NUL and lone surrogates.
TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12)
NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
WHOLE = st.integers(-(2**53), 2**53)


def _values(field: Any, kind: type[Fact]) -> st.SearchStrategy[Any]:
    if field.name == "extra":
        return st.lists(st.tuples(TEXT, TEXT), max_size=2).map(tuple)
    if field.name == "line":
        return st.just(0)
    number = NUMBERS if "float" in field.type else WHOLE if "int" in field.type else None
    if number is None:
        return TEXT
    return st.none() | number if "None" in field.type else number


def _facts(kind: type[Fact]) -> st.SearchStrategy[Any]:
    return st.builds(kind, **{f.name: _values(f, kind) for f in fields(kind)})


REFERENCES = st.builds(
    Reference,
    **{table: st.lists(_facts(kind), max_size=3).map(tuple) for table, kind in TABLES.items()},
    currency=TEXT,
    costs=st.builds(Costs, wrong_kit=NUMBERS, minute=NUMBERS, bench=NUMBERS),
)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(first=REFERENCES, second=REFERENCES)
def test_what_is_loaded_comes_out_again_whatever_was_there(first: Reference, second: Reference) -> None:
    for reference in (first, second):
        load_reference(reference, "Ines")
        assert dump_reference() == reference


def test_every_table_and_column_survives(small_reference: Reference) -> None:
    assert all(getattr(small_reference, table) for table in TABLES), "the sample leaves a table out"
    load_reference(small_reference, "Ines")
    assert dump_reference() == small_reference


def test_the_order_of_rows_and_rows_that_disagree_are_kept(small_reference: Reference) -> None:
    tools = (Tool(tool="rule", spread=0.5), Tool(tool="calliper", spread=0.05), Tool(tool="rule", spread=0.7))
    load_reference(replace(small_reference, tools=tools), "Ines")
    assert dump_reference().tools == tools


@pytest.mark.parametrize("bad", ["K36\ud800", 2**70])
def test_a_row_that_cannot_be_kept_leaves_the_old_reference_untouched(small_reference: Reference, bad: Any) -> None:
    load_reference(small_reference, "Ines")
    before = version_now()
    marks = (*small_reference.marks, Mark(carburettor="k36-118", text="x", role="cross", doubt=bad))
    other = replace(small_reference, makers=(), marks=marks, currency="EUR")
    if isinstance(bad, int):
        machine = replace(small_reference.machines[0], cylinders=bad)
        other = replace(small_reference, makers=(), machines=(machine,), currency="EUR")
    with pytest.raises(LoadError, match=r"marks|machines"):
        load_reference(other, "Wil")
    assert dump_reference() == small_reference
    assert version_now() == before
    assert not Change.objects.filter(who="Wil").exists()


def test_a_load_counts_the_version_up_and_says_how_many_rows(small_reference: Reference) -> None:
    load_reference(small_reference, "Ines")
    assert version_now().number == 1
    [change] = Change.objects.all()
    assert (change.who, change.table, change.after["marks"], change.before["marks"]) == ("Ines", "", 5, 0)


def test_a_second_load_tells_each_row_that_differs(small_reference: Reference) -> None:
    load_reference(small_reference, "Ines")
    worn = replace(small_reference.marks[1], doubt="")
    other = replace(small_reference, marks=(small_reference.marks[0], worn, *small_reference.marks[3:]), tools=())
    load_reference(other, "Hal")
    told = Change.objects.filter(who="Hal").exclude(table="").order_by("id")
    assert [(c.table, c.record, bool(c.before), bool(c.after)) for c in told] == [
        ("marks", "k36-118", True, True),
        ("marks", "k36-113", True, False),
        ("tools", "rule", True, False),
    ]
    assert told[0].before["doubt"] == "read once"
    assert "doubt" not in told[0].after


def test_keys_are_looked_up_by_an_index() -> None:
    from django.db import connection

    for table, column in [
        ("marks", "carburettor"),
        ("features", "carburettor"),
        ("kit_parts", "part"),
        ("kits", "kit"),
    ]:
        with connection.cursor() as cursor:
            cursor.execute(f"EXPLAIN QUERY PLAN SELECT * FROM {table} WHERE {column} = 'x'")
            assert "USING INDEX" in cursor.fetchall()[0][-1]
