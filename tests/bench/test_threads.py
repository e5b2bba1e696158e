"""Threads: chances that sum to one, the right one found from drawn readings, and looks that tell the rest apart."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.bench.thread_looks import further_looks
from floatbowl.bench.thread_table import ORIGINS, families, thread_named, threads
from floatbowl.bench.threads import Measured, expected_diameter, pitch_over, shown, which_thread
from floatbowl.engine.doubt import Doubtful
from floatbowl.engine.refusal import Refused


def read(
    diameter_mm: float, pitch_mm: float, sd_mm: float = 0.02, pitch_sd_mm: float = 0.01, **more: object
) -> Measured:
    return Measured(
        diameter=Doubtful(diameter_mm / 1e3, sd_mm / 1e3),
        pitch=Doubtful(pitch_mm / 1e3, pitch_sd_mm / 1e3),
        **more,  # type: ignore[arg-type]
    )


@given(diameter=st.floats(2, 25), pitch=st.floats(0.2, 1.0), inside=st.booleans(), origin=st.sampled_from(ORIGINS))
def test_chances_sum_to_one(diameter: float, pitch: float, inside: bool, origin: str) -> None:
    candidates = which_thread(read(diameter, pitch, inside=inside), origin)  # type: ignore[arg-type]
    chances = [candidate.chance for candidate in candidates]
    assert sum(chances) == pytest.approx(1)
    assert min(chances) >= 0
    assert chances == sorted(chances, reverse=True)
    assert sum(candidate.chance for candidate in shown(candidates)) >= 0.95


@pytest.mark.parametrize("inside", [False, True])
def test_the_shown_set_holds_the_truth_as_often_as_it_says(inside: bool) -> None:
    # 300 threads drawn as common as the table says, made and measured as the model says. Seed fixed.
    chance, table = np.random.default_rng(7), threads()
    sizes = {name: sum(thread.family.name == name for thread in table) for name in families()}
    common = np.array([thread.family.common["unknown"] / sizes[thread.family.name] for thread in table])
    held = 0
    for place in chance.choice(len(table), 300, p=common / common.sum()):
        thread = table[place]
        made = expected_diameter(thread, inside)
        diameter_mm = 1e3 * (made.value + math.hypot(made.sd, 2e-5) * chance.standard_normal())
        pitch_mm = 1e3 * thread.pitch_m + 0.01 * chance.standard_normal()
        names = {one.name for one in shown(which_thread(read(diameter_mm, pitch_mm, inside=inside)))}
        held += thread.name in names
    assert held >= 0.93 * 300


def test_odd_size_is_called_not_in_the_table() -> None:
    assert which_thread(read(5.3, 0.35, pitch_sd_mm=0.005))[0].name == "not in the table"


def test_origin_turns_the_order_of_twins_but_keeps_both() -> None:
    twins = read(4.75, 0.795)
    american, british = (which_thread(twins, origin)[0].name for origin in ("american", "british"))
    assert american == "UNF #10-32"
    assert british == "BSF 3/16-32"


def test_flank_angle_settles_the_twins() -> None:
    twins = read(4.74, 0.79, sd_mm=0.04)
    assert further_looks(which_thread(twins), twins)[0].key == "flank angle"
    for angle, name in ((55, "BSF 3/16-32"), (60, "UNF #10-32")):
        settled = read(4.74, 0.79, sd_mm=0.04, flank_angle_deg=Doubtful(angle, 1.0))
        (first, *_) = which_thread(settled)
        assert first.name == name
        assert first.chance > 0.95


def test_a_hole_of_a_known_thread() -> None:
    assert which_thread(read(8.63, 0.907, inside=True, tapered=False))[0].name == "BSP 1/8-28"
    assert which_thread(read(5.1, 1.0, inside=True, flank_angle_deg=Doubtful(60, 1.0)))[0].name == "M6"


def test_seen_taper_moves_the_odds_by_its_reliability() -> None:
    # Seen rightly 95 times in 100: odds of tapered against parallel move by 95/5 = 19 either way.
    def odds(tapered: bool | None) -> float:
        chance = {one.name: one.chance for one in which_thread(read(9.6, 0.907, tapered=tapered))}
        return chance["BSPT 1/8-28"] / chance["BSP 1/8-28"]

    assert odds(True) == pytest.approx(19 * odds(None))
    assert odds(False) == pytest.approx(odds(None) / 19)


def test_bits_of_the_flank_angle_agree_with_drawn_readings() -> None:
    # The angle is read 1,500 times on threads drawn by their chances; mean drop of entropy. Seed fixed.
    twins = read(4.74, 0.79, sd_mm=0.04)
    candidates = [one for one in which_thread(twins) if one.thread and one.chance > 1e-5]
    before = np.array([one.chance for one in candidates])
    before /= before.sum()
    angles = np.array([one.thread.family.angle_deg for one in candidates if one.thread])
    chance = np.random.default_rng(2)
    drawn = angles[chance.choice(len(before), 1_500, p=before)] + 1.5 * chance.standard_normal(1_500)
    after = before * np.exp(-0.5 * ((drawn[:, None] - angles) / 1.5) ** 2)
    after /= after.sum(axis=1, keepdims=True)
    left = -(after * np.log2(np.maximum(after, 1e-300))).sum(axis=1).mean()
    told = next(look.bits for look in further_looks(which_thread(twins), twins) if look.key == "flank angle")
    assert told == pytest.approx(-(before * np.log2(before)).sum() - left, abs=0.03)


def test_taper_tells_pipe_threads_apart() -> None:
    pipe = read(9.55, 0.907)
    assert further_looks(which_thread(pipe), pipe)[0].key == "taper"
    assert which_thread(read(9.55, 0.907, tapered=True))[0].name == "BSPT 1/8-28"
    assert which_thread(read(9.66, 0.907, tapered=False))[0].name == "BSP 1/8-28"


def test_longer_pitch_tells_27_from_28_to_the_inch() -> None:
    hole = read(8.75, 0.92, pitch_sd_mm=0.03, inside=True, tapered=True)
    assert further_looks(which_thread(hole), hole)[0].key in ("pitch", "flank angle")
    assert "pitch" in {look.key for look in further_looks(which_thread(hole), hole)}


def test_nothing_more_to_look_at_when_it_is_certain() -> None:
    sure = read(5.94, 1.0, pitch_sd_mm=0.002, flank_angle_deg=Doubtful(60, 0.5), tapered=False)
    assert which_thread(sure)[0].name == "M6"
    assert further_looks(which_thread(sure), sure) == ()


@given(spread=st.floats(0.005, 0.05))
def test_a_look_never_tells_more_than_is_unknown(spread: float) -> None:
    doubtful = read(9.6, 0.91, pitch_sd_mm=spread)
    candidates = which_thread(doubtful)
    unknown = -sum(c.chance * math.log2(c.chance) for c in candidates if c.chance > 0)
    assert all(0 < look.bits <= unknown + 0.02 for look in further_looks(candidates, doubtful))


def test_more_turns_sharpen_the_pitch() -> None:
    assert pitch_over(0.00794, 10, 1e-4).sd == pytest.approx(pitch_over(0.000794, 1, 1e-4).sd / 10)


@pytest.mark.parametrize("number", range(11))
def test_ba_sizes_follow_their_rule(number: int) -> None:
    # BS 93 (from memory): pitch 0.9^n mm, diameter 6 p^1.2 mm, both to two figures.
    thread = thread_named(f"{number}BA")
    assert thread.pitch_m * 1e3 == pytest.approx(0.9**number, abs=0.0051)
    assert thread.major_m * 1e3 == pytest.approx(6 * (0.9**number) ** 1.2, abs=0.051)


def test_inside_of_a_gas_thread() -> None:
    # ISO 228-1 (from memory): G 1/8, minor diameter 8.566 mm. ASME B1.1 (from memory): 1/4-20, basic minor .1959 in.
    assert thread_named("BSP 1/8-28").minor_m * 1e3 == pytest.approx(8.566, abs=0.001)
    assert thread_named("UNC 1/4-20").minor_m / 0.0254 == pytest.approx(0.1959, abs=0.0001)


def test_every_thread_has_its_source_and_a_name_of_its_own() -> None:
    names = [thread.name for thread in threads()]
    assert len(set(names)) == len(names)
    assert all(thread.source and 0.0002 < thread.pitch_m < thread.major_m / 2 for thread in threads())


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: which_thread(read(40, 1)), "diameter"),
        (lambda: which_thread(read(4, 3)), "more than half"),
        (lambda: which_thread(read(4, 0.7, pitch_sd_mm=0)), "pitch's doubt"),
        (lambda: which_thread(read(4, 0.7), "martian"), "origin"),  # type: ignore[arg-type]
        (lambda: pitch_over(0.01, 0, 1e-4), "turns"),
        (lambda: thread_named("M99"), "no thread known"),
    ],
)
def test_refuses_with_the_reason(work, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(Refused, match=says):
        work()
