"""The sheet holds only what applies, in bench order, with datum, limit, tools and cautions."""

from __future__ import annotations

import re

import pytest
from bench_shop import DATUM, KEY, known, rows, shop
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.bench.limit import Figure
from floatbowl.bench.measurements import STAGES, bench_parts, bench_tools, measurements
from floatbowl.bench.on_record import on_record
from floatbowl.bench.sheet import sheet, usual_parts
from floatbowl.demo.make_pack.whole_pack import PACK
from floatbowl.quantities import kinds, unit_named
from floatbowl.reference.pack import read_pack


def test_rows_stand_in_bench_order() -> None:
    stages = [STAGES.index(row.measure.stage) for row in rows().values()]
    assert stages == sorted(stages)
    order = list(rows())
    assert (
        order.index("shaft_play")
        < order.index("float_level")
        < order.index("idle_turns_set")
        < order.index("head_hold")
    )


@pytest.mark.parametrize(
    ("seen", "there", "absent"),
    [
        ({}, {"float_bubbles", "float_weight", "main_needle_tip"}, {"float_twin_level", "cork_sound"}),
        ({"float_material": "cork"}, {"cork_sound"}, {"float_bubbles", "float_weight"}),
        ({"float_material": "brass"}, {"float_bubbles", "float_weight"}, {"cork_sound"}),
        ({"float_material": "foam"}, {"float_weight"}, {"float_bubbles", "cork_sound"}),
        ({"float_shape": "twin"}, {"float_twin_level"}, set()),
        ({"float_shape": "single"}, set(), {"float_twin_level"}),
        ({"main_needle": "none"}, set(), {"main_needle_tip", "main_turns_set", "main_turns_found"}),
        ({"idle_screw": "none"}, set(), {"idle_needle_tip", "idle_turns_set", "plate_idle_hole"}),
        ({"choke_kind": "none"}, set(), {"choke_gap"}),
        ({"venturi": "cast in"}, {"venturi_bore"}, {"venturi_seated"}),
        ({"magnet_body": "does not stick"}, {"casting_density"}, set()),
        ({"magnet_body": "sticks"}, set(), {"casting_density"}),
    ],
)
def test_only_what_applies_is_asked(seen: dict[str, str], there: set[str], absent: set[str]) -> None:
    asked = set(rows(**seen))
    assert there <= asked
    assert not absent & asked


def test_parts_that_are_not_there_are_not_measured() -> None:
    without = {row.measure.part for row in sheet(known(), usual_parts() - {"float", "venturi"})}
    assert not {"float", "venturi"} & without
    bushed = {row.key for row in sheet(known(), usual_parts() | {"new bushes"})}
    assert {"bush_clearance", "bush_inset"} <= bushed
    assert "bush_clearance" not in rows()


def test_an_unknown_part_or_measurement_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="accelerator pump"):
        sheet(known(), {"accelerator pump"})
    with pytest.raises(ValueError, match="spark"):
        sheet(known(), figures=[Figure(measurement="spark", high="1")])


def test_the_float_level_shows_its_datum_and_without_one_says_so() -> None:
    row = rows()["float_level"]
    assert row.datum == DATUM
    assert any(DATUM in note for note in row.notes)
    bare = on_record(shop(settings=()), KEY)
    notes = next(row for row in sheet(bare) if row.key == "float_level").notes
    assert any("without its datum is worthless" in note for note in notes)


def test_which_needle_it_is_stands_on_the_row() -> None:
    assert any("needle for fuel: turned in, the mixture is leaner" in note for note in rows()["idle_turns_set"].notes)


def test_only_a_mixture_screw_asks_which_needle_it_is() -> None:
    bare = {row.key: row for row in sheet(on_record(shop(settings=()), KEY))}
    asking = {key for key, row in bare.items() if any("meters fuel or air" in note for note in row.notes)}
    assert asking == {"idle_turns_found", "main_turns_found", "idle_turns_set", "main_turns_set"}


def test_zinc_is_cautioned_only_where_it_is_zinc() -> None:
    def bends(**seen: str) -> bool:
        return any("Zinc" in caution.says for caution in rows(**seen)["flange_ears"].cautions)

    assert bends(magnet_body="does not stick", body_metal="zinc")
    assert not bends()


def test_hurtful_steps_carry_a_caution_and_whose_rule() -> None:
    sheet_rows = rows(float_material="brass")
    for key in ("float_bubbles", "head_hold", "wet_level", "flange_gap", "joint_gap", "shaft_play", "passages_blocked"):
        assert all(caution.says and caution.rule for caution in sheet_rows[key].cautions)
        assert sheet_rows[key].cautions


def test_every_measurement_is_whole() -> None:
    parts = bench_parts()
    for each in measurements():
        assert each.part in parts
        assert each.low < each.high
        assert each.low <= each.usual <= each.high or each.question
        assert each.how
        assert each.source
        assert all(tool in bench_tools() for tool in each.tools)
        assert all(bench_tools()[tool].kind == each.kind for tool in each.tools)
        spreads = [bench_tools()[tool].spread for tool in each.tools]
        assert spreads == sorted(spreads, reverse=True)
        if each.kind in kinds():
            unit_named(each.kind, each.unit)
        assert not re.search(r"\b[MDS]\d{1,2}\b", f"{each.name} {each.how} {each.question} {each.source}")


def test_every_carburettor_of_the_demonstration_shop_has_a_sheet() -> None:
    reference = read_pack(PACK)
    for carburettor in reference.carburettors[::40]:
        made = sheet(on_record(reference, carburettor.carburettor))
        level = next(row for row in made if row.key == "float_level")
        assert level.datum
        assert level.record is not None
        assert not any(row.limits.unread for row in made)


@settings(max_examples=25)
@given(
    st.dictionaries(
        st.sampled_from(["float material", "float shape", "main needle"]),
        st.sampled_from(["none", "cork", "twin", "odd"]),
    )
)
def test_the_sheet_never_falls_over_what_is_seen(seen) -> None:
    keys = [row.key for row in sheet(known(), seen=seen)]
    assert len(keys) == len(set(keys))
