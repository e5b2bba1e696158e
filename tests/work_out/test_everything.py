"""What holds for every calculation there is."""

from __future__ import annotations

import importlib.util
import json
import math
import re
from importlib import resources

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.quantities import unit_named, units_of
from floatbowl.work_out.as_json import as_object
from floatbowl.work_out.asking import asks_by_name, in_lengths, usual_figure, worked
from floatbowl.work_out.calculation import DIRECTION_ONLY, Asked, Calculation, answered, complete, read
from floatbowl.work_out.everything import MODULES, calculations, groups
from floatbowl.work_out.spoken import LENGTHS, Lengths, spoken

ALL = tuple(calculations().values())
DRAWINGS = resources.files("floatbowl.shop.pages.work_out") / "templates" / "work_out" / "drawings"
EACH = pytest.mark.parametrize("one", ALL, ids=lambda one: one.key)
#: Names that the pages and the command keep for themselves.
KEPT = {"lengths", "turn-to", "json", "inch", "how", "help", "find"}


def test_every_module_of_the_package_is_in_one_group() -> None:
    listed = [name for modules in MODULES.values() for name in modules]
    assert len(listed) == len(set(listed))
    missing = [name for name in listed if importlib.util.find_spec(f"floatbowl.work_out.{name}") is None]
    assert missing == []
    package = resources.files("floatbowl.work_out")
    written = {path.name[:-3] for path in package.iterdir() if path.name.endswith(".py")}
    with_calculations = {
        name for name in written if re.search(r"(?m)^CALCULATIONS\b", (package / f"{name}.py").read_text("utf-8"))
    }
    assert with_calculations == set(listed)


def test_keys_and_titles_are_unique_and_every_calculation_is_in_a_group() -> None:
    assert len({one.title for one in ALL}) == len(ALL)
    assert [one.key for group in groups() for one in group.calculations] == [one.key for one in ALL]
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", one.key) for one in ALL)


@EACH
def test_says_what_it_rests_on(one: Calculation) -> None:
    assert len(one.title) > 5
    assert one.about
    assert one.equation
    assert len(one.holds) > 10
    assert len(one.source) > 10
    assert all(mind.says and mind.rule for mind in one.cautions)


@EACH
def test_has_a_drawing_that_is_there_and_told_to_those_who_cannot_see_it(one: Calculation) -> None:
    assert one.drawing, "name one of " + ", ".join(sorted(path.name for path in DRAWINGS.iterdir()))
    drawn = (DRAWINGS / f"{one.drawing}.svg").read_text("utf-8")
    assert 'role="img"' in drawn
    assert len(re.findall(r'aria-label="([^"]*)"', drawn)[0]) > 20
    assert not re.search(r"style=|<script|<style", drawn), "the pages allow no style or script in a drawing"


@EACH
def test_answers_with_its_usual_figures(one: Calculation) -> None:
    answer, _ = answered(one, {})
    assert answer.says.strip().endswith(".")
    assert answer.figures or answer.tables
    assert len({figure.name for figure in answer.figures}) == len(answer.figures)
    for figure in answer.figures:
        assert math.isfinite(figure.value)
        assert 0 <= figure.sd < math.inf
        for lengths in LENGTHS:
            assert spoken(figure, lengths)
    for table in answer.tables:
        assert table.rows
        assert {len(row) for row in table.rows} == {len(table.heads)}
    if answer.curve:
        assert len(answer.curve.points) > 5
        assert answer.curve.across
        assert answer.curve.up
        assert all(math.isfinite(value) for point in answer.curve.points for value in point)


@EACH
def test_has_a_doubt_where_the_usual_figures_have_one(one: Calculation) -> None:
    numbers = [ask for ask in one.asks if isinstance(ask.usual, int | float)]
    answer, _ = answered(one, {})
    if any(ask.spread for ask in numbers) and answer.figures:
        assert any(figure.sd > 0 for figure in answer.figures)


@EACH
def test_asks_in_plain_names_and_known_units(one: Calculation) -> None:
    names = asks_by_name(one)
    assert len(names) == len(one.asks)
    assert not KEPT & set(names)
    assert all(re.fullmatch(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", name) for name in names)
    for ask in one.asks:
        assert ask.says[0].isupper() or ask.says[0].isdigit(), ask.says
        if ask.choices:
            assert ask.usual is None or ask.usual in ask.choices
        elif ask.kind != "text":
            assert unit_named(ask.kind, ask.unit)


@EACH
@pytest.mark.parametrize("lengths", LENGTHS)
def test_the_usual_figure_can_be_written_as_it_is_shown(one: Calculation, lengths: Lengths) -> None:
    for ask in one.asks:
        if isinstance(ask.usual, int | float):
            back, _ = read(in_lengths(ask, lengths), usual_figure(ask, lengths))
            assert back == pytest.approx(ask.usual, rel=0.02, abs=1e-12), ask.name


@EACH
def test_the_object_for_other_programs_is_plain_and_stable(one: Calculation) -> None:
    written = as_object(one, worked(one, {}, {}))
    back = json.loads(json.dumps(written, allow_nan=False))
    assert list(back) == [
        "version", "calculation", "title", "says", "figures", "tables", "curve", "notes", "asked", "validated",
        "standing", "cautions", "equation", "holds", "source",
    ]  # fmt: skip
    assert back["version"] == 1
    assert back["standing"] == ("" if one.validated else DIRECTION_ONLY)
    for figure in back["figures"]:
        assert list(figure) == ["name", "says", "kind", "value", "sd", "low", "high", "si_unit", "shown"]
        assert figure["low"] <= figure["value"] <= figure["high"]
    assert [ask["name"] for ask in back["asked"]] == list(asks_by_name(one))


def _written(ask: Asked) -> st.SearchStrategy[str]:
    """Sense and nonsense that somebody might write for this ask."""
    units = ("", ask.unit, *(units_of(ask.kind) if ask.kind != "text" else ()), "furlong")
    numbers = st.one_of(
        st.sampled_from(["0", "-1", "1e-9", "1e9", "1e308", "1/0", ".5", "1,5", "nan", "inf", "²"]),
        st.floats(-1e6, 1e6).map(lambda value: f"{value:.6g}"),
        st.floats(0.001, 100).map(lambda value: f"{value:.4f}"),
    )
    figures = st.tuples(numbers, st.sampled_from(units)).map(" ".join)
    doubtful = st.tuples(figures, figures).map(" +- ".join)
    known = st.just(usual_figure(ask)) if ask.usual is not None else st.just("")
    return st.one_of(
        known, known, known, figures, doubtful, st.sampled_from(ask.choices or ("",)), st.text(max_size=20)
    )


@EACH
def test_each_figure_alone_may_be_nothing_less_than_nothing_or_far_too_large(one: Calculation) -> None:
    for name, ask in asks_by_name(one).items():
        for text in ("0", "-1", "900000") if ask.kind != "text" and not ask.choices else ():
            outcome = worked(one, {name: text}, {})
            assert outcome.answer or outcome.refused or outcome.faults, (name, text)


@EACH
def test_whatever_is_written_gets_an_answer_or_a_reason(one: Calculation) -> None:
    texts = st.fixed_dictionaries({name: _written(ask) for name, ask in asks_by_name(one).items()})

    @settings(max_examples=8, database=None)
    @given(texts, st.sampled_from(LENGTHS))
    def told(written: dict[str, str], lengths: Lengths) -> None:
        outcome = worked(one, written, {}, lengths)
        if outcome.answer is None:
            assert bool(outcome.faults) != bool(outcome.refused)
            assert all(text.strip() for text in (*outcome.faults.values(), *filter(None, [outcome.refused])))
        else:
            json.dumps(as_object(one, outcome, lengths), allow_nan=False)

    told()


@EACH
def test_an_ask_that_is_not_there_is_refused_by_name(one: Calculation) -> None:
    with pytest.raises(ValueError, match="asks for no colour_of_paint"):
        complete(one, {"colour_of_paint": "green"})
