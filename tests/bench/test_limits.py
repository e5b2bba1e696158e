"""Limits by rank, with every source shown and the one that is used named."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bench_shop import KEY, SETTINGS, SIZES, known, shop
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.bench.limit import RANKS, Figure, says, where_from
from floatbowl.bench.limits import limits_of
from floatbowl.bench.measurements import measurement
from floatbowl.bench.on_record import on_record
from floatbowl.reference.facts import Setting

PLAY, LEVEL, JET = measurement("shaft_play"), measurement("float_level"), measurement("main_jet_bore")


def test_shaft_play_is_judged_by_the_shops_rule_and_all_three_sources_are_shown() -> None:
    limits = limits_of(PLAY, known())
    assert limits.used is not None
    assert limits.used.rank == "shop rule"
    # trade map 3.2: leave to .003, note to .005, rebush above, refuse to ship unbushed above .010 in.
    assert [(each.does, round(each.high / 25.4e-6, 3)) for each in limits.used.beyond if each.high] == [
        ("note", 3),
        ("repair", 5),
        ("refuse", 10),
    ]
    assert {round((each.working.high or 0) / 25.4e-6, 3) for each in limits.others} == {5.0, 10.0}
    assert len(limits.others) == 3
    assert "disagree" in limits.disagree
    assert ".010 in" in limits.disagree
    assert "Updraft handbook TM 10-3930-644-14&P" in {each.source for each in limits.others}


def test_the_machines_own_book_comes_before_the_carburettor_makers_sheet() -> None:
    book = Figure(measurement="float_level", low="5/8", high="21/32", source="Drumlow Tractor Parts Book", page="12")
    limits = limits_of(LEVEL, known(), [book])
    assert limits.used is not None
    assert where_from(limits.used) == "machine's own book: Drumlow Tractor Parts Book, page 12"
    assert limits.others[0].rank == "maker's sheet"
    assert "disagree" in limits.disagree


@given(st.permutations(RANKS))
def test_whatever_the_order_they_come_in_the_rank_decides(order) -> None:
    figures = [
        Figure(measurement="float_level", high=f"{20 + i} mm", rank=rank, source=rank) for i, rank in enumerate(order)
    ]
    limits = limits_of(LEVEL, on_record(shop(settings=()), KEY), figures)
    assert limits.used is not None
    assert limits.used.rank == "machine's own book"
    ranks = [RANKS.index(each.rank) for each in (limits.used, *limits.others)]
    assert ranks == sorted(ranks)


def test_the_makers_sheet_gives_its_range_datum_and_page() -> None:
    used = limits_of(LEVEL, known()).used
    assert used is not None
    assert says(used.working, LEVEL) == "15.1 to 16.7 mm"
    assert used.datum
    assert used.page == "18"
    assert used.record == pytest.approx(0.0159)


def test_a_figure_without_a_range_takes_the_usual_allowance_and_says_so() -> None:
    bare = tuple(replace(row, low=None, high=None) for row in SETTINGS)
    used = limits_of(LEVEL, on_record(shop(settings=bare), KEY)).used
    assert used is not None
    assert used.rank == "maker's sheet"
    assert says(used.working, LEVEL) == "15.1 to 16.7 mm"
    assert "allowance is general practice" in used.doubt


def test_a_family_figure_stands_in_where_the_number_has_none_and_all_siblings_agree() -> None:
    siblings = [replace(row, carburettor=key) for row in SETTINGS for key in ("k36-113", "k36-120")]
    used = limits_of(LEVEL, on_record(shop(settings=siblings), KEY)).used
    assert used is not None
    assert used.rank == "family figure"
    odd = [replace(siblings[0], value="20"), *siblings[1:]]
    none = limits_of(LEVEL, on_record(shop(settings=odd), KEY)).used
    assert none is None


def test_two_printings_that_disagree_are_both_shown_and_the_undoubted_one_is_used() -> None:
    later = Setting(
        carburettor=KEY, quantity="jet bore", value="1.2", unit="mm", source="manual", doubt="perhaps a misprint"
    )
    limits = limits_of(JET, on_record(shop(settings=(later, *SETTINGS)), KEY))
    assert limits.used is not None
    assert limits.used.record == pytest.approx(0.0011)
    assert "Sources disagree" in limits.disagree


def test_figures_with_another_datum_disagree_even_when_the_number_is_the_same() -> None:
    other = replace(SETTINGS[0], datum="lid upside down, gasket on", source="bench-book")
    limits = limits_of(LEVEL, on_record(shop(settings=(*SETTINGS, other)), KEY))
    assert "gasket on" in limits.disagree


def test_weight_is_only_limited_above() -> None:
    used = limits_of(measurement("float_weight"), known()).used
    assert used is not None
    assert used.working.low is None
    # 5 in 100 over 26 g.
    assert used.working.high == pytest.approx(0.0273)


def test_the_shops_own_rule_replaces_the_proposed_one() -> None:
    own = [
        Figure(measurement="shaft_play", high="4 thou", does="repair", rank="shop rule", source="Our rule"),
        Figure(measurement="shaft_play", high="2 thou", does="note", rank="shop rule", source="Our rule"),
    ]
    used = limits_of(PLAY, known(), own).used
    assert used is not None
    assert used.source == "Our rule"
    assert [each.does for each in used.beyond] == ["note", "repair"]


@pytest.mark.parametrize(
    ("low", "high", "says_what"),
    [("", "", "neither"), ("2", "1", "above the highest"), ("", "wide", "is not a length"), ("1,5", "", "comma")],
)
def test_a_bad_figure_is_refused_with_the_reason(low: str, high: str, says_what: str) -> None:
    with pytest.raises(ValueError, match=says_what):
        limits_of(LEVEL, known(), [Figure(measurement="float_level", low=low, high=high)])


def test_a_record_that_is_no_number_is_told_not_dropped_in_silence() -> None:
    words = (replace(SETTINGS[0], value="see plate 4"), replace(SETTINGS[1], unit="furlong"))
    strange = on_record(shop(settings=words, sizes=()), KEY)
    assert "float level" in limits_of(LEVEL, strange).unread[0].lower()
    assert "furlong" in limits_of(JET, strange).unread[0]


def test_a_new_parts_tolerance_is_no_wear_limit() -> None:
    used = limits_of(measurement("seat_bore"), known()).used
    assert used is not None
    assert says(used.working, measurement("seat_bore")) == "2.4 to 2.6 mm"
    assert {row.tolerance for row in SIZES if row.quantity == "bore"} == {"0.03", "0.01"}


def test_a_look_that_gives_the_figure_stands_in_where_no_part_is_recorded() -> None:
    looked = on_record(shop(sizes=(), seat_thread="11"), KEY)
    used = limits_of(measurement("seat_thread"), looked).used
    assert used is not None
    assert says(used.working, measurement("seat_thread")) == "10.8 to 11.1 mm"


def test_a_carburettor_that_is_not_recorded_is_named() -> None:
    with pytest.raises(KeyError, match="k99-999"):
        on_record(shop(), "k99-999")
