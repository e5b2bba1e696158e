"""Fuels: every figure has its source, blends lie between their parents, and a change of fuel goes the right way."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.air import air_from_humidity
from floatbowl.engine.fuels import (
    blended,
    evaporation_cooling_k,
    fuel,
    fuel_change_factor,
    fuels,
    mass_share,
    may_ice,
    source_rows,
    stoichiometric_air_fuel_ratio,
)
from floatbowl.engine.refusal import Refused

SHARES = st.floats(0, 1)
FIGURES = ("air_fuel_ratio", "density_kg_m3", "viscosity_m2_s", "latent_heat_j_kg", "cp_j_kg_k")


def test_the_five_fuels_are_there_and_every_figure_names_its_source() -> None:
    assert set(fuels()) == {"petrol", "E10", "E85", "ethanol", "tractor vaporising oil"}
    for row in source_rows():
        assert row["source"], row
        assert row["provenance"] in ("published", "library", "memory"), row
        assert ("from memory" in row["source"]) or row["provenance"] != "memory", row


@pytest.mark.parametrize("figure", FIGURES)
@settings(max_examples=40)
@given(share=SHARES)
def test_a_blend_lies_between_its_parents(figure: str, share: float) -> None:
    low, high = sorted(getattr(fuel(name), figure) for name in ("petrol", "ethanol"))
    found = getattr(blended(fuel("petrol"), fuel("ethanol"), share, "blend"), figure)
    assert low * (1 - 1e-12) <= found <= high * (1 + 1e-12)


@settings(max_examples=40)
@given(SHARES)
def test_a_blend_balances_air_and_mass_litre_by_litre(share: float) -> None:
    """One litre of the blend needs the air of its petrol and of its ethanol: another route to the same mixture."""
    petrol, ethanol = fuel("petrol"), fuel("ethanol")
    air = (1 - share) * petrol.density_kg_m3 * petrol.air_fuel_ratio
    air += share * ethanol.density_kg_m3 * ethanol.air_fuel_ratio
    mass = (1 - share) * petrol.density_kg_m3 + share * ethanol.density_kg_m3
    assert blended(petrol, ethanol, share, "blend").air_fuel_ratio == pytest.approx(air / mass)


def test_mixing_by_volume_would_be_off_by_some_thousandths_for_e85() -> None:
    """Computed: 0.4 in 100."""
    petrol, ethanol = fuel("petrol"), fuel("ethanol")
    by_volume = 0.15 * petrol.air_fuel_ratio + 0.85 * ethanol.air_fuel_ratio
    assert 100 * (by_volume / fuel("E85").air_fuel_ratio - 1) == pytest.approx(0.4, abs=0.1)


def test_e10_is_a_tenth_by_volume_and_a_little_more_by_mass() -> None:
    """Worked by hand: 78.9 / (78.9 + 670.5) = 0.1053."""
    assert mass_share(fuel("petrol"), fuel("ethanol"), 0.1) == pytest.approx(0.1053, abs=1e-4)
    assert fuel("E10").density_kg_m3 == pytest.approx(749.4)


@settings(max_examples=40)
@given(SHARES, SHARES)
def test_more_ethanol_never_asks_for_a_smaller_jet(one: float, other: float) -> None:
    petrol, ethanol = fuel("petrol"), fuel("ethanol")
    less, more = (blended(petrol, ethanol, share, "blend") for share in sorted((one, other)))
    factor = fuel_change_factor(less.air_fuel_ratio, less.density_kg_m3, more.air_fuel_ratio, more.density_kg_m3)
    assert factor.area >= 1 - 1e-12
    back = fuel_change_factor(more.air_fuel_ratio, more.density_kg_m3, less.air_fuel_ratio, less.density_kg_m3)
    assert back.area * factor.area == pytest.approx(1)


def test_a_fuel_that_flows_less_freely_asks_for_a_larger_jet() -> None:
    plain = fuel_change_factor(14.6, 745, 14.6, 815)
    thick = fuel_change_factor(14.6, 745, 14.6, 815, cd_ratio=1.05)
    assert thick.area == pytest.approx(1.05 * plain.area)


@pytest.mark.parametrize(
    ("latent", "ratio", "cp", "kelvin"),
    [(350e3, 14.64, 2200, 21), (846e3, 9.01, 2440, 74)],
)
def test_full_evaporation_cools_as_worked_out(latent: float, ratio: float, cp: float, kelvin: float) -> None:
    """The project's notes: petrol 21 K, and ethanol 74 K with the latent heat at its boiling point, 846 kJ/kg."""
    assert evaporation_cooling_k(latent, ratio, cp) == pytest.approx(kelvin, abs=0.8)


def test_ethanol_cools_some_four_times_as_much_as_petrol() -> None:
    cooled = {
        f.name: evaporation_cooling_k(f.latent_heat_j_kg, f.air_fuel_ratio, f.cp_j_kg_k) for f in fuels().values()
    }
    assert cooled["petrol"] < cooled["E10"] < cooled["E85"] < cooled["ethanol"]
    assert cooled["ethanol"] / cooled["petrol"] == pytest.approx(4, abs=0.3)


def test_damp_cool_air_ices_and_hot_or_dry_air_does_not() -> None:
    def ices(celsius: float, humidity: float, cooling: float) -> bool:
        air = air_from_humidity(celsius + 273.15, 101_325, humidity)
        return may_ice(celsius + 273.15, air.vapour_pa, cooling)

    assert ices(8, 0.9, 20.5)
    assert not ices(35, 0.9, 20.5)
    assert not ices(8, 0.05, 20.5)
    assert ices(20, 0.5, 80)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: fuel("gas oil"), "use one of petrol"),
        (lambda: stoichiometric_air_fuel_ratio("H2"), "is no formula known here"),
        (lambda: stoichiometric_air_fuel_ratio("C.H4"), "not numbers"),
        (lambda: stoichiometric_air_fuel_ratio("C1H0O2"), "it is no fuel"),
        (lambda: blended(fuel("petrol"), fuel("ethanol"), 10, "x"), "write 10 % as 0.1"),
        (lambda: fuel_change_factor(14.6, 0.745, 9, 789), "fuel density"),
        (lambda: evaporation_cooling_k(350, 14.6, 2400), "latent heat"),
        (lambda: may_ice(20, 1000, 20), "air temperature"),
    ],
)
def test_what_is_no_fuel_is_refused_with_the_reason(work, says: str) -> None:
    with pytest.raises(Refused, match=says):
        work()
