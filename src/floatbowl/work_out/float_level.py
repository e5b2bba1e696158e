"""The fuel level: the same dry level from another datum, and what moves it (weight, head, seat size)."""

from __future__ import annotations

from typing import Final

from floatbowl.bench.float_needle import (
    head_pa,
    level_rise_by_force_m,
    level_rise_by_mass_m,
    seat_force_n,
)
from floatbowl.engine.refusal import Refused, within
from floatbowl.work_out.both_units import in_both
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Curve, Figure, MindThis, Table

_GASKET: Final = ("gasket off", "gasket on")
_EDGE: Final = ("near edge", "far edge")
_NOT_SAID: Final = "not said"
#: Over its marked weight by more than this, a float has taken fuel or been soldered (common practice, from memory).
_HEAVY_PART: Final = 0.05

_SURFACE: Final = Asked(
    "waterplane_m2",
    "Float's cut through the fuel surface",
    "area",
    "cm2",
    usual=12e-4,
    spread=1e-4,
    how="Length times width of the float where the fuel cuts it; both pontoons together.",
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
_ARMS: Final = Asked(
    "arm_ratio",
    "Needle's arm over the float's arm",
    "ratio",
    usual=0.25,
    spread=0.02,
    how="Hinge to needle, divided by hinge to the middle of the float.",
)
_SEAT: Final = Asked(
    "seat_m",
    "Hole in the seat",
    "length",
    "mm",
    usual=0.0025,
    spread=0.00002,
    how="Pin gauge or drill shank; never a drill that turns.",
)
_HEAD: Final = Asked(
    "head_m",
    "Head over the seat",
    "length",
    "m",
    usual=0.6,
    spread=0.05,
    how="From the fuel in the tank down to the seat; 1 lb on the inch is about 0.95 m.",
)
_FUEL_FIRE: Final = MindThis(
    "Petrol: outdoors or with extraction, no flame, no motor below; tap shut before the bowl comes off.",
    "Fire code and fuel storage law; the machine's handbook",
)
_SOLDER: Final = MindThis(
    "Never solder or heat a float with fuel in it: it explodes. Find the leak in hot water, then drain and dry it for "
    "days until no smell is left.",
    "Hot work permit practice of the shop",
)
_LEAD: Final = MindThis("Solder on old floats holds lead: no dry filing or brushing, wash hands.", "Health authority")
_WHERE: Final = "For straight-sided floats and shifts below 20 mm."
_SOURCE: Final = "Moments about the hinge and Archimedes (statics)."


def _datum(
    *,
    book_m: float,
    book_gasket: str,
    book_edge: str,
    read_m: float,
    read_gasket: str,
    read_edge: str,
    gasket_m: float,
    float_depth_m: float,
    allowed_m: float,
) -> Answer:
    if _NOT_SAID in (book_gasket, book_edge):
        raise Refused(
            "a float figure without its datum is worthless: find out whether the gasket is on, and to which edge of "
            "the float; or set the wet level by a tube at the drain, 1.5 to 3 mm below the nozzle's lip"
        )
    within("gasket", gasket_m, 0, 0.005, "m")
    within("depth of the float", float_depth_m, 0, 0.08, "m")
    within("allowed either way", allowed_m, 0, 0.005, "m")
    should_m = book_m + gasket_m * ((book_gasket == "gasket on") - (read_gasket == "gasket on"))
    should_m += float_depth_m * ((read_edge == "far edge") - (book_edge == "far edge"))
    within("level from your datum", should_m, 0, 0.1, "m", "check the datum and the figures")
    off_m = read_m - should_m
    way = "lower" if off_m > 0 else "higher"
    verdict = "leave it" if abs(off_m) <= allowed_m else "bend the tongue, never press on the needle"
    return Answer(
        says=f"Measured your way the float should read {in_both(should_m)}; it reads {in_both(read_m)}, so the fuel "
        f"will stand about {abs(off_m) * 1e3:.1f} mm {way}: {verdict}.",
        figures=(
            Figure("should_read", "The book's level, measured your way", should_m, "length", "mm"),
            Figure("off", "Yours is larger by", off_m, "length", "mm"),
        ),
        notes=("Lid upside down: the float hangs on its own weight, a sprung needle is not pressed in.",),
    )


DATUM: Final = Calculation(
    key="float-level",
    title="Float level from another datum",
    about="A book measures with the gasket on or off, to the near or far edge; the same float, measured your way.",
    asks=(
        Asked("book_m", "Level in the book", "length", "mm", usual=0.011, how="As printed, with source and page."),
        Asked("book_gasket", "The book measures with the", choices=(*_GASKET, _NOT_SAID), usual="gasket off"),
        Asked("book_edge", "The book measures to the float's", choices=(*_EDGE, _NOT_SAID), usual="near edge"),
        Asked(
            "read_m",
            "Level as you read it",
            "length",
            "mm",
            usual=0.0115,
            spread=0.0002,
            how="Lid upside down, float by its own weight; both pontoons alike.",
        ),
        Asked("read_gasket", "You measure with the", choices=_GASKET, usual="gasket on"),
        Asked("read_edge", "You measure to the float's", choices=_EDGE, usual="near edge"),
        Asked("gasket_m", "Thickness of the gasket", "length", "mm", usual=0.0008, spread=0.00005, how="Unsqueezed."),
        Asked("float_depth_m", "Depth of the float", "length", "mm", usual=0.020, spread=0.0002, how="Edge to edge."),
        Asked(
            "allowed_m",
            "Allowed either way",
            "length",
            "mm",
            usual=0.0008,
            how="1/32 in is usual; the book's own rules.",
        ),
    ),
    work=_datum,
    equation="level' = level + gasket (on in the book, off at the bench) + depth of the float (near edge to far edge)",
    holds="For a lid that carries the float, measured upside down; geometry only.",
    source="Geometry; 1/32 in either way is common practice, from memory.",
    cautions=(_FUEL_FIRE,),
    drawing="float",
)


def _weight(
    *, weighs_kg: float, should_kg: float, waterplane_m2: float, density_kg_m3: float, place_ratio: float
) -> Answer:
    within("right weight", should_kg, 0.001, 0.3, "kg")
    extra_kg = weighs_kg - should_kg
    rise_m = level_rise_by_mass_m(extra_kg, waterplane_m2, density_kg_m3, place_ratio)
    part = extra_kg / should_kg
    means = "it has taken fuel or solder: drain and seal it, or replace it" if part > _HEAVY_PART else "leave it"
    way = "heavy" if extra_kg >= 0 else "light"
    grams = [gram for gram in range(0, 11) if abs(gram) * 1e-3 * place_ratio / (density_kg_m3 * waterplane_m2) < 0.02]
    return Answer(
        says=f"The float is {abs(extra_kg) * 1e3:.1f} g {way} ({abs(part) * 100:.0f} %), so the fuel stands "
        f"{abs(rise_m) * 1e3:.1f} mm {'higher' if rise_m >= 0 else 'lower'}: {means}.",
        figures=(
            Figure("rise", "The fuel stands higher by", rise_m, "length", "mm"),
            Figure("part", "Over its weight by", part, "share", "%"),
        ),
        curve=Curve(
            "Extra weight, g",
            "Fuel higher by, mm",
            tuple(
                (float(gram), level_rise_by_mass_m(gram * 1e-3, waterplane_m2, density_kg_m3, place_ratio) * 1e3)
                for gram in grams
            ),
            here=(extra_kg * 1e3, rise_m * 1e3),
        ),
    )


WEIGHT: Final = Calculation(
    key="float-weight",
    title="Fuel level with a heavy float",
    about="A float that has taken fuel, or carries solder, sits deeper: the level is higher by so much.",
    asks=(
        Asked("weighs_kg", "The float weighs", "mass", "g", usual=0.023, spread=0.0001, how="Scale to 0.1 g, dry."),
        Asked("should_kg", "It should weigh", "mass", "g", usual=0.020, spread=0.0002, how="Marked, or a good one."),
        _SURFACE,
        _DENSITY,
        Asked(
            "place_ratio",
            "Where the weight sits",
            "ratio",
            usual=1.0,
            spread=0.1,
            how="Hinge to the added weight, divided by hinge to the middle of the float.",
        ),
    ),
    work=_weight,
    equation="dh = m (L_x/L_f) / (rho A_wp)",
    holds=_WHERE,
    source=f"{_SOURCE} Over by 5 % is heavy: common practice, from memory.",
    cautions=(_SOLDER, _LEAD),
    drawing="float",
)


def _seat_or_head(
    *,
    set_seat_m: float,
    set_head_m: float,
    seat_m: float,
    head_m: float,
    arm_ratio: float,
    waterplane_m2: float,
    density_kg_m3: float,
) -> Answer:
    set_n = seat_force_n(set_seat_m, head_pa(set_head_m, density_kg_m3))

    def rise(seat: float, head: float) -> float:
        force_n = seat_force_n(seat, head_pa(head, density_kg_m3)) - set_n
        return level_rise_by_force_m(force_n, arm_ratio, waterplane_m2, density_kg_m3)

    rise_m = rise(seat_m, head_m)
    way = "higher" if rise_m >= 0 else "lower"
    heads = [step / 10 for step in range(0, 16)]
    return Answer(
        says=f"With a {seat_m * 1e3:.2g} mm seat under {head_m:.2g} m of fuel the level stands "
        f"{abs(rise_m) * 1e3:.2f} mm {way} than it was set.",
        figures=(Figure("rise", "The fuel stands higher by", rise_m, "length", "mm"),),
        tables=(
            Table(
                ("Head", "Fuel higher by"),
                tuple((f"{head:.1f} m", f"{rise(seat_m, head) * 1e3:.2f} mm") for head in (0.0, 0.3, 0.6, 0.9)),
                "With this seat, against how it was set",
            ),
        ),
        curve=Curve(
            "Head, m",
            "Fuel higher by, mm",
            tuple((head, rise(seat_m, head) * 1e3) for head in heads),
            here=(head_m, rise_m * 1e3),
        ),
    )


SEAT_OR_HEAD: Final = Calculation(
    key="level-by-seat-or-head",
    title="Fuel level with another seat or another head",
    about="A larger seat or a higher tank pushes harder on the needle; the float answers by sitting deeper.",
    asks=(
        Asked("set_seat_m", "Seat it was set with", "length", "mm", usual=0.0025, spread=0.00002),
        Asked(
            "set_head_m",
            "Head it was set with",
            "length",
            "m",
            usual=0.0,
            spread=0.02,
            how="0 for a level set dry, the lid upside down.",
        ),
        _SEAT,
        _HEAD,
        _ARMS,
        _SURFACE,
        _DENSITY,
    ),
    work=_seat_or_head,
    equation="dh = (p_2 A_2 - p_1 A_1) (L_n/L_f) / (rho g A_wp)",
    holds=_WHERE,
    source=_SOURCE,
    cautions=(_FUEL_FIRE,),
    drawing="float",
)

CALCULATIONS: Final = (DATUM, WEIGHT, SEAT_OR_HEAD)
