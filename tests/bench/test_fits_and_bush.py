"""Fits, press fits and bushes: Lame against its own differential equation, and a bush that really fits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_bvp

from floatbowl.bench.bush import CLEAN_UP_M, LEAST_WALL_M, bush_for, reamers
from floatbowl.bench.fits import (
    Material,
    Squeeze,
    interference_change_m,
    iso_fit,
    material,
    materials,
    rc4_fit,
    squeeze,
)
from floatbowl.engine.refusal import Refused

BRASS, IRON, ZINC = material("brass"), material("iron"), material("zinc")
PRESSED = {"fit_m": 0.0095, "bore_m": 0.008, "outside_m": 0.016, "bush": BRASS, "boss": IRON}


def _movement(inner: float, outer: float, pressed: tuple[float, float], made_of: Material, at: float) -> float:
    """Radial movement at radius ``at`` by solving ``r^2 u'' + r u' - u = 0``: a ring with pressure inside, outside."""
    stiff = made_of.stiffness_pa / (1 - made_of.poisson**2)

    def radial_stress(r: float, u: float, slope: float) -> float:
        return stiff * (slope + made_of.poisson * u / r)

    def slopes(r: np.ndarray, y: np.ndarray) -> np.ndarray:
        return np.vstack([y[1], y[0] / r**2 - y[1] / r])

    def ends(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        within, without = radial_stress(inner, *a) + pressed[0], radial_stress(outer, *b) + pressed[1]
        return np.array([within, without]) / 1e6

    radii = np.linspace(inner, outer, 50)
    return float(solve_bvp(slopes, ends, radii, np.zeros((2, 50)), tol=1e-8).sol(at)[0])


def test_press_fit_against_the_rings_own_equation() -> None:
    # The rings are solved numerically under the pressure found; the two faces must then meet exactly.
    delta = 20e-6
    found = squeeze(delta, **PRESSED)
    inner = _movement(0.004, 0.00475, (0.0, found.pressure_pa), BRASS, 0.00475)
    outer = _movement(0.00475, 0.008, (found.pressure_pa, 0.0), IRON, 0.00475)
    assert 2 * (outer - inner) == pytest.approx(delta, rel=1e-5)
    bore = _movement(0.004, 0.00475, (0.0, found.pressure_pa), BRASS, 0.004)
    assert -2 * bore == pytest.approx(found.bore_closes_m, rel=1e-5)


@given(delta=st.floats(1e-7, 3e-5), times=st.floats(1, 1.2))
def test_squeeze_is_in_proportion_to_interference(delta: float, times: float) -> None:
    one, more = squeeze(delta, **PRESSED), squeeze(times * delta, **PRESSED)
    for name in Squeeze.__slots__:
        assert getattr(more, name) == pytest.approx(times * getattr(one, name))


def test_bore_closes_by_less_than_the_interference_over_its_wall() -> None:
    # All of the interference could reach the bore of a thin bush in a stiff boss, and D/d of it at most.
    found = squeeze(20e-6, **{**PRESSED, "boss": Material("rigid", "", 0, 1e15, 0.3, 1e12, "")})
    assert 20e-6 * 0.8 < found.bore_closes_m < 20e-6 * 0.0095 / 0.008


def test_same_metal_keeps_its_fit_and_zinc_loosens_a_brass_bush() -> None:
    assert interference_change_m(0.0111, 60, BRASS, BRASS) == 0
    assert interference_change_m(0.0111, 60, BRASS, ZINC) < 0 < interference_change_m(0.0111, 60, BRASS, IRON)


@given(size=st.floats(0.0031, 0.03))
def test_close_running_fit_always_runs_and_press_fit_never_slides(size: float) -> None:
    assert rc4_fit(size).least_clearance_m > 0
    assert iso_fit("H7/p6", size).most_clearance_m <= 1e-12


@given(worn=st.floats(0, 0.0015), shaft=st.floats(0.0045, 0.0125), boss=st.floats(1.5, 2.5))
def test_bush_fits_boss_shaft_and_reamers(worn: float, shaft: float, boss: float) -> None:
    told = bush_for(shaft + worn, shaft, boss * (shaft + 0.003), BRASS, IRON)
    hole = told.boss_reamer.diameter_m
    assert hole >= shaft + worn + CLEAN_UP_M - 2e-6
    assert told.wall_m >= LEAST_WALL_M - 2e-6
    assert hole < told.outside_low_m < told.outside_high_m
    assert told.drilled_m < told.bore_low_m - told.tightest.bore_closes_m
    assert told.tightest.boss_stress_pa <= IRON.safe_pa * (1 + 1e-9)
    assert told.tightest.bush_stress_pa <= BRASS.safe_pa * (1 + 1e-9)
    # A thousandth of a millimetre either way is the rounding of a reamer's name.
    assert all(0.0243e-3 < reamer.diameter_m - shaft < 0.0519e-3 for reamer in told.last_reamers)


def test_weak_boss_gets_a_smaller_bush_and_is_told_why() -> None:
    thin, thick = (bush_for(0.0082, 0.0079, outside, BRASS, ZINC) for outside in (0.0128, 0.03))
    assert "the boss" in thin.eased_for
    assert thin.outside_high_m < thick.outside_high_m


def test_only_the_reamers_at_hand() -> None:
    assert bush_for(0.0082, 0.0079375, 0.016, BRASS, IRON, kinds=("fraction",)).boss_reamer.name == "3/8 in"
    assert bush_for(0.0082, 0.0079375, 0.016, BRASS, IRON, kinds=("metric",)).boss_reamer.name == "9.5 mm"
    assert bush_for(0.0082, 0.0079375, 0.016, BRASS, IRON).last_reamers[0].name == "5/16 in + .001"


def test_tables_say_where_every_figure_is_from() -> None:
    assert all(made_of.source for made_of in materials().values())
    sizes = [reamer.diameter_m for reamer in reamers()]
    assert sizes == sorted(sizes)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: iso_fit("G7/h6", 0.008), "no fit known"),
        (lambda: iso_fit("H7/g6", 8.0), "nominal size"),
        (lambda: rc4_fit(0.04), "RC4"),
        (lambda: material("wood"), "no material"),
        (lambda: squeeze(2e-4, **PRESSED), "interference"),
        (lambda: squeeze(2e-5, **{**PRESSED, "bore_m": 0.0095}), "bush bore"),
        (lambda: bush_for(0.007, 0.008, 0.016, BRASS, IRON), "worn bore"),
        (lambda: bush_for(0.0082, 0.0079, 0.0105, BRASS, IRON), "boss outside"),
    ],
)
def test_refuses_with_the_reason(work, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(Refused, match=says):
        work()
