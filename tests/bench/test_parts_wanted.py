"""What a job wants, from where, what is left in the kit and why, and when the set is complete."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bench_shop import KEY, SIZES, known, play, reading, rows, shop
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.bench.joints import HolesChecked, joints
from floatbowl.bench.judging import Word
from floatbowl.bench.kit_contents import contents, to_match
from floatbowl.bench.on_record import on_record
from floatbowl.bench.parts_wanted import PartsWanted, parts_wanted
from floatbowl.bench.verdict import Verdict, verdicts
from floatbowl.demo.make_pack.whole_pack import PACK
from floatbowl.reference.facts import KitPart
from floatbowl.reference.pack import read_pack

ROWS = rows(float_material="brass")
TICKS = tuple(HolesChecked(joint.joint, "Tobiah") for joint in joints())


def verdict(part: str, word: Word) -> Verdict:
    return Verdict(part=part, word=word, sentence=f"{part}: {word}.")


SOUND = (verdict("needle and seat", Word.LEAVE), verdict("main jet", Word.LEAVE), verdict("shaft bores", Word.LEAVE))


def laid(*told: Verdict, kit: str = "T-12", ticks=TICKS, reference=None, **more) -> PartsWanted:
    store = reference or shop()
    inside = contents(store, kit) if kit else ()
    return parts_wanted(told, on_record(store, KEY), inside, checked=ticks, **more)


def whence(wanted: PartsWanted) -> dict[str, str]:
    return {each.kind if each.kind != "washer" else each.what_for: each.whence for each in wanted.wanted}


def test_a_sound_carburettor_wants_its_gaskets_and_leaves_the_seat_as_a_spare() -> None:
    wanted = laid(*SOUND)
    assert wanted.complete
    assert [each.whence for each in wanted.wanted] == ["kit"] * 4
    (left,) = wanted.left_over
    assert left.part == "needle-seat"
    assert "fit to stay; keep it as a spare" in left.why


def test_a_worn_seat_comes_from_the_kit_and_nothing_is_left() -> None:
    wanted = laid(verdict("needle and seat", Word.REPLACE))
    assert whence(wanted)["needle and seat"] == "kit"
    assert wanted.left_over == ()


def test_bushes_come_loose_and_a_jet_that_is_out_must_come_from_outside() -> None:
    wanted = laid(verdict("shaft bores", Word.REPAIR), verdict("main jet", Word.REPLACE))
    assert whence(wanted)["bush"] == "made here"  # two wanted, one on the shelf
    assert whence(wanted)["jet"] == "outside"
    assert not wanted.complete
    assert any("Main jet is to come from outside" in line for line in wanted.missing)
    enough = shop()
    stocked = replace(enough, parts=tuple(replace(part, on_hand=5) for part in enough.parts))
    assert whence(laid(verdict("shaft bores", Word.REPAIR), reference=stocked))["bush"] == "loose"


def test_what_was_made_or_has_come_is_in_hand() -> None:
    wanted = laid(verdict("main jet", Word.REPLACE), in_hand={"The main jet"})
    assert wanted.complete


def test_without_a_kit_gaskets_come_loose_or_are_made() -> None:
    assert {each.whence for each in laid(*SOUND, kit="").wanted} == {"loose"}
    none = shop()
    bare = replace(none, parts=tuple(replace(part, on_hand=0) for part in none.parts))
    made = laid(*SOUND, kit="", reference=bare)
    assert {each.whence for each in made.wanted} == {"made here"}
    assert all("cut from" in each.why for each in made.wanted)
    assert not made.complete


def test_each_joint_needs_its_holes_checked_by_a_named_person() -> None:
    for joint in joints():
        wanted = laid(*SOUND, ticks=tuple(tick for tick in TICKS if tick.joint != joint.joint))
        assert not wanted.complete
        assert wanted.missing == (f"{joint.says}: nobody has checked the holes of its gasket against both sides.",)
    with pytest.raises(ValueError, match="names nobody"):
        laid(*SOUND, ticks=(HolesChecked("bowl", " "),))
    with pytest.raises(ValueError, match="sump"):
        laid(*SOUND, ticks=(HolesChecked("sump", "Tobiah"),))


def test_a_kit_for_another_thread_is_left_shut_with_the_reason() -> None:
    seat = ROWS["seat_thread"]
    measured = to_match([reading(seat, "9.5", tool="caliper")] * 2)
    wanted = laid(verdict("needle and seat", Word.REFUSE), measured=measured)
    left = {each.part: each.why for each in wanted.left_over}
    assert "its hole is 11.2 mm, 9.7 mm measured" in left["seat-washer"]
    assert "needle-seat" in left
    replaced = laid(verdict("needle and seat", Word.REPLACE), measured=measured)
    why = {each.part: each.why for each in replaced.left_over}["needle-seat"]
    assert why == "not the size here: its thread outside diameter is 11 mm, 9.5 mm measured"
    assert whence(replaced)["needle and seat"] == "outside"


def test_a_worn_threads_crests_do_not_refuse_the_right_part() -> None:
    measured = to_match([reading(ROWS["seat_thread"], "10.9", tool="caliper")])
    assert whence(laid(verdict("needle and seat", Word.REPLACE), measured=measured))["needle and seat"] == "kit"


def test_another_pattern_of_the_same_sizes_will_do_and_one_of_other_sizes_will_not() -> None:
    def with_seat(thread: str) -> PartsWanted:
        store = shop(
            sizes=(
                *SIZES,
                *(
                    replace(row, part="hard-seat", value=thread if "thread" in row.quantity else row.value)
                    for row in SIZES
                    if row.part == "needle-seat"
                ),
            )
        )
        hard = replace(
            next(part for part in store.parts if part.part == "needle-seat"), part="hard-seat", name="Hard seat"
        )
        rest = tuple(row for row in store.kit_parts if row.part != "needle-seat")
        kit_parts = (*rest, KitPart(kit="T-12", part="hard-seat", quantity=1, position="inlet"))
        return laid(
            verdict("needle and seat", Word.REPLACE),
            reference=replace(store, parts=(*store.parts, hard), kit_parts=kit_parts),
        )

    assert whence(with_seat("11"))["needle and seat"] == "kit"
    other = with_seat("10")
    assert whence(other)["needle and seat"] == "loose"
    assert "on record" in other.left_over[0].why


def test_unsettled_parts_keep_the_set_open() -> None:
    for word in (Word.NOT_YET, Word.AGAIN):
        wanted = laid(*SOUND[1:], verdict("needle and seat", word))
        assert not wanted.complete
        assert "not settled" in wanted.left_over[0].why


def test_more_in_the_kit_than_places_is_said() -> None:
    store = shop()
    two = tuple(replace(row, quantity=2) if row.part == "jet-washer" else row for row in store.kit_parts)
    left = {each.part: each for each in laid(*SOUND, reference=replace(store, kit_parts=two)).left_over}
    assert left["jet-washer"].quantity == 1
    assert "more of them in the kit" in left["jet-washer"].why


def test_an_unknown_kit_is_refused_by_name() -> None:
    with pytest.raises(KeyError, match="T-99"):
        contents(shop(), "T-99")


@given(
    st.dictionaries(
        st.sampled_from(["needle and seat", "main jet", "shaft bores", "float", "float setting"]),
        st.sampled_from(list(Word)),
    )
)
def test_nothing_is_taken_from_the_kit_twice_nor_lost(words) -> None:
    wanted = laid(*(verdict(part, word) for part, word in words.items()))
    inside = {each.part.part: each.quantity for each in contents(shop(), "T-12")}
    used: dict[str, float] = {}
    for each in wanted.wanted:
        if each.whence == "kit":
            used[each.part] = used.get(each.part, 0) + each.quantity
    left = {each.part: each.quantity for each in wanted.left_over}
    for part, quantity in inside.items():
        assert used.get(part, 0) + left.get(part, 0) == quantity


def test_the_demonstration_shops_first_story_from_readings_to_parts() -> None:
    reference = read_pack(PACK)
    record = on_record(reference, KEY)
    kit = next(fit.kit for fit in reference.kit_fits if fit.carburettor == KEY and fit.kit.endswith("F"))
    sheet_rows = rows(float_material="brass")
    told = verdicts(sheet_rows.values(), play(sheet_rows["shaft_play"], "0.2"), record, None, typical=True)
    wanted = parts_wanted(told, record, contents(reference, kit), checked=TICKS)
    bush = next(each for each in wanted.wanted if each.kind == "bush")
    assert bush.quantity == 2
    assert any("diameter" in size for size in bush.sizes)
    assert known().name == record.name
