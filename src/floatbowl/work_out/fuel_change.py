"""Another fuel: the jet that keeps the mixture, and how the new fuel cools, ices and attacks."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from floatbowl.engine.air import SEA_LEVEL_PA, air_from_humidity
from floatbowl.engine.discharge import ideal_reynolds, long_bore_cd
from floatbowl.engine.fuels import Fuel, blended, evaporation_cooling_k, fuel, fuel_change_factor, fuels, may_ice
from floatbowl.engine.metering import JetFactor
from floatbowl.engine.refusal import Refused, within
from floatbowl.quantities import rounded, show_quantity
from floatbowl.work_out.air import RUNNING
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Figure, MindThis, Table
from floatbowl.work_out.main_jet import NEVER_DRILL, PETROL_OPEN, drill_table

ATTACKS: Final = MindThis(
    "Another fuel attacks other things: ethanol swells cork, dissolves shellac, softens old rubber and hoses and "
    "draws water; tractor vaporising oil needs a hot manifold and an engine started on petrol. Check hoses, float, "
    "needle tip, seals and tank first; a weeping joint is a fire.",
    "The engine maker's manual, the sheet of the material's maker and the local law decide; this is no advice on road "
    "use or emissions.",
)
#: A change of jet smaller than this in area is within the reach of an adjusting needle (estimate).
NO_MATTER: Final = 0.02
_WITH_ETHANOL: Final = ("E10", "E85")


def _work(
    *,
    before: str,
    after: str,
    jet_m: float,
    suction_pa: float,
    air_k: float,
    humidity: float,
    batch: float,
    jet_length_m: float | None = None,
    ethanol_share: float | None = None,
) -> Answer:
    old, new = fuel(before), _of_batch(after, batch, ethanol_share)
    cd_ratio = (
        1.0
        if jet_length_m is None
        else _cd(old, jet_m, suction_pa, jet_length_m) / _cd(new, jet_m, suction_pa, jet_length_m)
    )
    factor = fuel_change_factor(old.air_fuel_ratio, old.density_kg_m3, new.air_fuel_ratio, new.density_kg_m3, cd_ratio)
    cooling_k = _cooling_k(new)
    return Answer(
        says=_says(factor, old, new),
        figures=(
            Figure("richer", "The same jet with the new fuel, more or less", 1 / factor.area - 1, "share", "in 100"),
            Figure("area_factor", "Area of the jet, times", factor.area),
            Figure("jet", "Jet for the same mixture", jet_m * factor.diameter, "length", "mm"),
            Figure("air_need", "Parts of air that just burn one of the new fuel", new.air_fuel_ratio, "ratio"),
            Figure("cooling", "Most that its evaporation cools", cooling_k, "temperature step", "C"),
        ),
        tables=(drill_table(jet_m * factor.diameter), _beside(old, new)),
        notes=(*_ice(new, cooling_k, air_k, humidity), *_starting(old, new), *_viscosity_note(jet_length_m)),
    )


def _of_batch(name: str, batch: float, ethanol_share: float | None) -> Fuel:
    """The new fuel: of the ethanol share told, where one was, and of this batch's air need."""
    if ethanol_share is not None and name not in _WITH_ETHANOL:
        raise Refused(f"{name} holds no ethanol; leave its share out, or choose {' or '.join(_WITH_ETHANOL)}")
    within("air need of this batch", batch, 0.8, 1.2)
    made = fuel(name) if ethanol_share is None else blended(fuel("petrol"), fuel("ethanol"), ethanol_share, name)
    return replace(made, air_fuel_ratio=batch * made.air_fuel_ratio)


def _cd(burnt: Fuel, jet_m: float, suction_pa: float, length_m: float) -> float:
    reynolds = ideal_reynolds(jet_m, suction_pa, burnt.density_kg_m3, burnt.viscosity_m2_s)
    return long_bore_cd(reynolds, length_m / jet_m)


def _cooling_k(burnt: Fuel) -> float:
    return evaporation_cooling_k(burnt.latent_heat_j_kg, burnt.air_fuel_ratio, burnt.cp_j_kg_k)


def _says(factor: JetFactor, old: Fuel, new: Fuel) -> str:
    if abs(factor.area - 1) < NO_MATTER:
        return f"From {old.name} to {new.name} the jet can stay: the needle sets the difference."
    than = "larger" if factor.area > 1 else "smaller"
    runs = "leaner" if factor.area > 1 else "richer"
    return (
        f"From {old.name} to {new.name} the jet wants {rounded(100 * abs(factor.area - 1), 2)} in 100 {than} in area; "
        f"left as it is, the engine runs {rounded(100 * abs(1 / factor.area - 1), 2)} in 100 {runs}."
    )


def _beside(old: Fuel, new: Fuel) -> Table:
    def row(says: str, kind: str, unit: str, figures: tuple[float, float]) -> tuple[str, ...]:
        return (says, *(show_quantity(figure, kind, unit) for figure in figures))

    return Table(
        ("Fuel", old.name, new.name),
        (
            row("Parts of air that just burn one", "ratio", "", (old.air_fuel_ratio, new.air_fuel_ratio)),
            row("Density", "density", "kg/m3", (old.density_kg_m3, new.density_kg_m3)),
            row("Viscosity", "viscosity", "mm2/s", (old.viscosity_m2_s, new.viscosity_m2_s)),
            row("Most that evaporation cools", "temperature step", "C", (_cooling_k(old), _cooling_k(new))),
        ),
        "Sources stand in the table of fuels; the figures for tractor vaporising oil are from memory.",
    )


def _ice(new: Fuel, cooling_k: float, air_k: float, humidity: float) -> tuple[str, ...]:
    vapour_pa = air_from_humidity(air_k, SEA_LEVEL_PA, humidity).vapour_pa
    if not may_ice(air_k, vapour_pa, cooling_k):
        return ()
    return (
        f"Ice may form in the throat: {new.name} can cool this damp air by up to {rounded(cooling_k, 2)} C. Keep the "
        "manifold heat and its flap working.",
    )


def _starting(old: Fuel, new: Fuel) -> tuple[str, ...]:
    if new.air_fuel_ratio >= old.air_fuel_ratio or new.name == "E10":
        return ()
    return (
        "Cold starting is harder: ethanol's vapour pressure is 2.3 psi where petrol's is 8 to 15 (US Department of "
        "Energy).",
    )


def _viscosity_note(jet_length_m: float | None) -> tuple[str, ...]:
    if jet_length_m is None:
        return ("The jet's length was not told, so thick and thin fuel are taken to flow alike.",)
    return ("The effect of viscosity is from an equation of 1965 quoted from memory: a few parts in 100 at most.",)


FUEL_CHANGE: Final = Calculation(
    key="fuel-change",
    title="A change of fuel",
    about="What another fuel asks of the main jet, and what else it brings.",
    asks=(
        Asked("before", "Fuel it was set for", choices=tuple(fuels()), usual="petrol"),
        Asked("after", "Fuel it shall run on", choices=tuple(fuels()), usual="E10"),
        Asked("jet_m", "Main jet", "length", "mm", usual=0.0011, spread=0.00001, how="With pin gauges."),
        Asked("suction_pa", "Suction in the throat", "pressure", "kPa", usual=4000.0, spread=500.0),
        Asked("air_k", "Air at the intake", "temperature", "C", usual=283.15, spread=3.0),
        Asked("humidity", "Relative humidity of the air", "share", "%", usual=0.8, spread=0.1),
        Asked(
            "batch",
            "Air need of this batch of the new fuel, against the usual",
            "share",
            "%",
            usual=1.0,
            spread=0.015,
            how="Fuels of one name differ by a few parts in 100 (estimate): leave it, unless it was measured.",
        ),
        Asked(
            "ethanol_share",
            "Ethanol in the new fuel, by volume",
            "share",
            "%",
            spread=0.02,
            optional=True,
            how="Where the pump or a shake test with water tells it: E85 is often 51 to 83 % (from memory).",
        ),
        Asked(
            "jet_length_m",
            "Length of the jet's bore",
            "length",
            "mm",
            spread=0.0001,
            optional=True,
            how="Only where it is 2 to 10 times as long as wide: then the fuel's viscosity is counted.",
        ),
    ),
    work=_work,
    equation="A2/A1 = (AFR1/AFR2) sqrt(rho1/rho2) Cd1/Cd2; cooling = h_fg/(AFR cp_air + cp_fuel)",
    holds="One plain jet, the same share of air too much or too little, the lip neglected. Ice: full evaporation "
    "without heat, the worst case.",
    source="Air need from the chemical formula (checked against the chemicals library); fuel figures: US Department of "
    "Energy, Alternative Fuels Data Center, and others named in the table of fuels; viscosity by Lichtarowicz, Duggins "
    "and Markland 1965, from memory.",
    cautions=(ATTACKS, PETROL_OPEN, NEVER_DRILL, RUNNING),
    drawing="jet",
)

CALCULATIONS = (FUEL_CHANGE,)
