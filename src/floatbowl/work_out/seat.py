"""Needle and seat: whether the float can hold the fuel back, and whether enough comes through."""

from __future__ import annotations

from typing import Final

from floatbowl.bench.float_needle import (
    MOST_PRESSURE_PA,
    FloatGear,
    fuel_demand_m3_s,
    head_pa,
    hold,
    seat_flow_m3_s,
    seat_force_n,
)
from floatbowl.engine.refusal import within
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Curve, Figure, MindThis

#: Wanted over what the engine burns (the shop's rule for the flow at the drain).
WANTED: Final = 1.5
#: A needle that just holds on the bench weeps on a shaking tractor (shop's guess).
_THIN_RESERVE: Final = 1.5
_PUMP: Final = MindThis(
    "A fuel pump on a carburettor made for gravity can push the needle off its seat: flooding and fire. Fit none, or a "
    "regulator that is proved.",
    "The machine's handbook; fire code",
)
_FLOW_TEST: Final = MindThis(
    "Flow tests with petrol only outdoors, into an earthed metal can, no flame, no motor below. At the bench use a "
    "test fluid that does not flash.",
    "Fire code and fuel storage law; the fluid's data sheet",
)
_DENSITY: Final = Asked(
    "density_kg_m3",
    "Density of the fuel",
    "density",
    "kg/m3",
    usual=740.0,
    spread=10.0,
    how="Petrol 720 to 775, tractor kerosene about 810.",
)
_HEAD: Final = Asked(
    "head_m", "Head over the seat", "length", "m", usual=0.6, spread=0.05, how="Fuel in the tank down to the seat."
)
_SEAT: Final = Asked("seat_m", "Hole in the seat", "length", "mm", usual=0.0025, spread=0.00002, how="By pin gauge.")


def _closing(
    *,
    head_m: float,
    pump_pa: float,
    seat_m: float,
    float_kg: float,
    needle_kg: float,
    volume_m3: float,
    float_arm_m: float,
    needle_arm_m: float,
    density_kg_m3: float,
    shuts: str,
) -> Answer:
    pressure_pa = head_pa(head_m, density_kg_m3) + within("pump's pressure", pump_pa, 0, MOST_PRESSURE_PA, "Pa")
    gear = FloatGear(
        float_kg=float_kg,
        needle_kg=needle_kg,
        float_arm_m=float_arm_m,
        weight_arm_m=float_arm_m,
        needle_arm_m=needle_arm_m,
        seat_m=seat_m,
        waterplane_m2=12e-4,
        volume_m3=volume_m3,
        needle_shuts="up" if shuts == "upward" else "down",
    )
    found = hold(gear, pressure_pa, density_kg_m3)
    if not found.holds:
        means = "the float cannot hold it and the bowl floods"
    elif found.reserve < _THIN_RESERVE:
        means = "it holds with little to spare: a shaking engine will make it weep"
    else:
        means = "the float holds it"
    reserve = min(found.reserve, 1_000.0)
    kpas = [step * 2.0 for step in range(0, 21)]
    return Answer(
        says=f"The fuel pushes with {found.needed_n:.2f} N and the float can give {max(found.most_n, 0):.2f} N: "
        f"{means}. It gives up at {found.gives_up_pa / 1e3:.0f} kPa ({found.gives_up_pa / 6894.757:.1f} psi).",
        figures=(
            Figure("needed", "Force of the fuel on the needle", found.needed_n, "force", "N"),
            Figure("most", "Most the float gives at the needle", found.most_n, "force", "N"),
            Figure("reserve", "What it gives over what is needed", reserve, "ratio"),
            Figure("gives_up", "Gives up at", found.gives_up_pa, "pressure", "kPa"),
        ),
        curve=Curve(
            "Pressure at the seat, kPa",
            "Force of the fuel on the needle, N",
            tuple((kpa, seat_force_n(seat_m, kpa * 1e3)) for kpa in kpas),
            here=(pressure_pa / 1e3, found.needed_n),
        ),
        notes=(
            "Force alone: a scored seat or a hard tip leaks even where the float holds. Try it under the real head.",
        ),
    )


CLOSING: Final = Calculation(
    key="needle-force",
    title="Can the float hold the needle shut?",
    about="A high tank, a large seat or a pump pushes the needle open; the float can only lift with its own size.",
    asks=(
        _HEAD,
        Asked("pump_pa", "Pump's pressure besides", "pressure", "psi", usual=0.0, how="0 for gravity feed."),
        _SEAT,
        Asked("float_kg", "The float weighs", "mass", "g", usual=0.020, spread=0.0005),
        Asked("needle_kg", "The needle weighs", "mass", "g", usual=0.002, spread=0.0002),
        Asked(
            "volume_m3",
            "Volume of the float",
            "volume",
            "cm3",
            usual=45e-6,
            spread=1e-6,
            how="Press it under water in a full cup and measure what runs over.",
        ),
        Asked("float_arm_m", "Hinge to the middle of the float", "length", "mm", usual=0.040, spread=0.001),
        Asked("needle_arm_m", "Hinge to the needle", "length", "mm", usual=0.010, spread=0.0003),
        _DENSITY,
        Asked("shuts", "The needle shuts", choices=("upward", "downward"), usual="upward"),
    ),
    work=_closing,
    equation="needed p pi d^2/4; most (rho g V L_f - W_f L_f -+ W_n L_n)/L_n",
    holds="At rest, float wholly under, its weight taken at its middle; up to 70 kPa.",
    source="Moments about the hinge and Archimedes (statics); weep limit is the shop's guess.",
    cautions=(_PUMP, _FLOW_TEST),
    drawing="seat",
)


def _flow(
    *, seat_m: float, lift_m: float, head_m: float, cd: float, power_w: float, bsfc_kg_kwh: float, density_kg_m3: float
) -> Answer:
    pressure_pa = head_pa(head_m, density_kg_m3)
    flow = seat_flow_m3_s(seat_m, lift_m, pressure_pa, density_kg_m3, cd)
    burns = fuel_demand_m3_s(power_w, bsfc_kg_kwh, density_kg_m3)
    ratio = flow / within("what the engine burns", burns, 1e-9, unit="m3/s")
    if ratio < 1:
        means = "it starves under load"
    elif ratio < WANTED:
        means = "enough, but not the half as much again that is wanted"
    else:
        means = "enough"
    lifts = [step * 0.0001 for step in range(0, 31)]
    return Answer(
        says=f"The open seat passes {flow * 6e7:.0f} ml/min and the engine burns {burns * 6e7:.0f} ml/min at full load "
        f"({ratio:.1f} times): {means}.",
        figures=(
            Figure("flow", "The seat passes", flow, "volume flow", "ml/min"),
            Figure("burns", "The engine burns", burns, "volume flow", "ml/min"),
            Figure("ratio", "Passes over burns", ratio, "ratio"),
        ),
        curve=Curve(
            "Lift of the needle, mm",
            "Flow, ml/min",
            tuple((lift * 1e3, seat_flow_m3_s(seat_m, lift, pressure_pa, density_kg_m3, cd) * 6e7) for lift in lifts),
            here=(lift_m * 1e3, flow * 6e7),
        ),
        notes=(f"Past a lift of a quarter of the hole ({seat_m * 250:.2f} mm) more lift passes no more.",),
    )


_POWER: Final = Asked(
    "power_w", "Power at full load", "power", "hp", usual=18_600.0, spread=1_500.0, how="At the belt."
)
_BSFC: Final = Asked(
    "bsfc_kg_kwh",
    "Fuel for each kilowatt hour, kg",
    usual=0.365,
    spread=0.03,
    how="0.33 to 0.43 kg, which is 0.55 to 0.70 lb for each horsepower hour.",
)

FLOW: Final = Calculation(
    key="seat-flow",
    title="Does the seat pass enough?",
    about="What a fully lifted needle lets through under the tank's head, against what the engine burns at full load.",
    asks=(
        _SEAT,
        Asked("lift_m", "Lift of the needle", "length", "mm", usual=0.0015, spread=0.0002, how="With the float down."),
        _HEAD,
        Asked("cd", "Discharge coefficient", usual=0.62, spread=0.05, how="Sharp-edged seat; leave it."),
        _POWER,
        _BSFC,
        _DENSITY,
    ),
    work=_flow,
    equation="Cd A sqrt(2 p/rho), A = pi d lift until pi d^2/4; burns power x bsfc/rho",
    holds="For a clear line and screen and a vented tank: only the seat holds the fuel back.",
    source="Torricelli; 0.55 to 0.70 lb/hp h and half as much again are common practice, from memory.",
    cautions=(_FLOW_TEST, _PUMP),
    drawing="seat",
)


def _drain(*, volume_m3: float, time_s: float, power_w: float, bsfc_kg_kwh: float, density_kg_m3: float) -> Answer:
    flow = within("volume", volume_m3, 1e-5, 0.02, "m3") / within("time", time_s, 1, 3_600, "s")
    burns = fuel_demand_m3_s(power_w, bsfc_kg_kwh, density_kg_m3)
    ratio = flow / within("what the engine burns", burns, 1e-9, unit="m3/s")
    means = "enough" if ratio >= WANTED else "too little: try again with the tank's cap off; then screen, tap and line"
    return Answer(
        says=f"{flow * 6e7:.0f} ml/min run at the drain and the engine burns {burns * 6e7:.0f} ml/min at full load "
        f"({ratio:.1f} times, wanted 1.5): {means}.",
        figures=(
            Figure("flow", "Runs at the drain", flow, "volume flow", "ml/min"),
            Figure("burns", "The engine burns", burns, "volume flow", "ml/min"),
            Figure("ratio", "Runs over burns", ratio, "ratio"),
        ),
        notes=("Slower with the cap on than off: the cap's vent is blocked.",),
    )


DRAIN: Final = Calculation(
    key="drain-flow",
    title="Does enough fuel reach the carburettor?",
    about="A timed jar at the drain, before the carburettor is blamed.",
    asks=(
        Asked("volume_m3", "Caught", "volume", "ml", usual=473e-6, spread=5e-6, how="One US pint is 473 ml."),
        Asked("time_s", "In", "time", "s", usual=110.0, spread=2.0, how="Tap open, cap on; then again with cap off."),
        _POWER,
        _BSFC,
        _DENSITY,
    ),
    work=_drain,
    equation="flow = volume/time; burns power x bsfc/rho; wanted 1.5 times",
    holds="Tank at its usual level, engine stopped.",
    source="One US pint in under 2 minutes: forum and club rule; half as much again: common practice, from memory.",
    cautions=(_FLOW_TEST,),
    drawing="seat",
)

CALCULATIONS: Final = (CLOSING, FLOW, DRAIN)
