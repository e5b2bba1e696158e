"""The throttle shaft's leak: its direction in everything, its bounds, its band against a simulation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.bench.shaft import (
    LeakSpreads,
    idle_air_kg_s,
    leak_area_m2,
    orifice_flux_kg_m2_s,
    shaft_leak_kg_s,
    share_of_idle_air,
    slot_leak_kg_s,
)
from floatbowl.engine.refusal import Refused

plays = st.floats(0, 0.0005)
pressures = st.floats(20_000, 101_000)


@given(play=plays, more=plays, manifold=pressures, eccentricity=st.floats(0, 1))
def test_more_play_never_leaks_less(play: float, more: float, manifold: float, eccentricity: float) -> None:
    less, greater = (
        shaft_leak_kg_s(0.008, each, 0.010, manifold, eccentricity=eccentricity) for each in (play, play + more)
    )
    assert 0 <= less <= greater


@given(manifold=pressures, drop=st.floats(0, 15_000))
def test_deeper_suction_never_leaks_less(manifold: float, drop: float) -> None:
    deep = shaft_leak_kg_s(0.008, 0.0001, 0.010, manifold - drop)
    assert deep >= shaft_leak_kg_s(0.008, 0.0001, 0.010, manifold) * (1 - 1e-12)


@given(play=st.floats(1e-6, 0.0005), boss=st.floats(0.002, 0.03), manifold=pressures)
def test_no_more_than_slot_or_orifice_alone(play: float, boss: float, manifold: float) -> None:
    leak = shaft_leak_kg_s(0.008, play, boss, manifold, eccentricity=0.3, cd=0.65)
    assert leak <= slot_leak_kg_s(0.008, play, boss, manifold, 101_325, 293, 0.3) * (1 + 1e-12)
    assert leak <= 0.65 * leak_area_m2(0.008, play) * orifice_flux_kg_m2_s(manifold, 101_325, 293) * (1 + 1e-12)


def test_close_fit_goes_with_the_cube_and_wide_one_with_the_first_power() -> None:
    close = shaft_leak_kg_s(0.008, 4e-6, 0.01, 45_000) / shaft_leak_kg_s(0.008, 2e-6, 0.01, 45_000)
    wide = shaft_leak_kg_s(0.008, 0.0008, 0.01, 45_000) / shaft_leak_kg_s(0.008, 0.0004, 0.01, 45_000)
    assert close == pytest.approx(8, rel=0.01)
    assert wide == pytest.approx(2, rel=0.05)


def test_choked_below_the_critical_pressure() -> None:
    assert orifice_flux_kg_m2_s(20_000, 101_325, 293) == orifice_flux_kg_m2_s(50_000, 101_325, 293)
    assert orifice_flux_kg_m2_s(60_000, 101_325, 293) < orifice_flux_kg_m2_s(50_000, 101_325, 293)


def test_no_leak_without_play_or_without_suction() -> None:
    assert shaft_leak_kg_s(0.008, 0, 0.01, 45_000) == 0
    assert shaft_leak_kg_s(0.008, 0.0002, 0.01, 101_325) == 0


@given(play=st.floats(0, 0.0006), speed=st.floats(300, 800))
def test_share_lies_in_its_band_and_two_ends_leak_twice(play: float, speed: float) -> None:
    air = idle_air_kg_s(2.5e-3, speed, 45_000)
    two, one = (share_of_idle_air(0.008, play, 0.01, 45_000, air, ends=ends) for ends in (2, 1))
    assert 0 <= two.low <= two.share <= two.high
    assert two.share == pytest.approx(2 * one.share)


@pytest.mark.parametrize("play", [0.05e-3, 0.13e-3, 0.25e-3])
def test_band_agrees_with_a_simulation(play: float) -> None:
    # 4,000 normal draws of every figure; the band's ends against the 2.5 and 97.5 hundredths. Seed fixed.
    spreads, air = LeakSpreads(), idle_air_kg_s(2.5e-3, 500, 45_000)
    told = share_of_idle_air(0.008, play, 0.010, 45_000, air)
    chance, shares = np.random.default_rng(1), []
    for d in chance.standard_normal((4_000, 6)):
        manifold = 45_000 + spreads.manifold_pa * d[2]
        leak = shaft_leak_kg_s(
            0.008,
            max(0.0, play + spreads.play_m * d[0]),
            0.010 + spreads.boss_m * d[1],
            manifold,
            eccentricity=float(np.clip(0.5 + spreads.eccentricity * d[3], 0, 1)),
            cd=0.65 + spreads.cd * d[4],
        )
        shares.append(2 * leak / (air * manifold / 45_000 * (1 + spreads.idle_air_part * d[5])))
    low, high = np.percentile(shares, [2.5, 97.5])
    width = high - low
    assert told.low == pytest.approx(low, abs=0.12 * width)
    assert told.high == pytest.approx(high, abs=0.25 * width)


def test_surer_figures_narrow_the_band() -> None:
    air = idle_air_kg_s(2.5e-3, 500, 45_000)
    sure = LeakSpreads(play_m=0, boss_m=0, manifold_pa=0, eccentricity=0, cd=0, idle_air_part=0)
    told = share_of_idle_air(0.008, 0.0002, 0.01, 45_000, air, spreads=sure)
    assert told.low == told.share == told.high


def test_two_stroke_takes_twice_the_air() -> None:
    assert idle_air_kg_s(5e-4, 600, 60_000, strokes=2) == pytest.approx(2 * idle_air_kg_s(5e-4, 600, 60_000))


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: shaft_leak_kg_s(0.008, 0.04, 0.01, 45_000), "play"),
        (lambda: shaft_leak_kg_s(0.008, -0.0001, 0.01, 45_000), "play"),
        (lambda: shaft_leak_kg_s(0.008, 0.0001, 0.01, 120_000), "manifold pressure"),
        (lambda: shaft_leak_kg_s(0.08, 0.0001, 0.01, 45_000), "shaft"),
        (lambda: shaft_leak_kg_s(0.008, 0.0001, 0.01, 45_000, eccentricity=1.2), "eccentricity"),
        (lambda: idle_air_kg_s(2e-3, 500, 45_000, strokes=3), "strokes is 3"),
        (lambda: idle_air_kg_s(2.0, 500, 45_000), "displacement"),
        (lambda: share_of_idle_air(0.008, 0.0001, 0.01, 45_000, 0.0), "idle air"),
        (lambda: share_of_idle_air(0.008, 0.0001, 0.01, 45_000, 0.004, ends=3), "ends is 3"),
    ],
)
def test_refuses_with_the_reason(work, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(Refused, match=says):
        work()
