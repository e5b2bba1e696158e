"""One invented carburettor with settings, parts and a kit, and readings written as a person writes them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from floatbowl.bench.on_record import OnRecord, on_record
from floatbowl.bench.runs_on import RunsOn
from floatbowl.bench.sheet import Row, sheet
from floatbowl.bench.taking import Taken, take
from floatbowl.reference.facts import (
    Carburettor,
    CarburettorPart,
    Feature,
    Kit,
    KitPart,
    Maker,
    Mark,
    Part,
    PartSize,
    Reference,
    Setting,
    Source,
)

KEY = "k36-118"
DATUM = "lid upside down, gasket off, lid face to nearest edge of float"

PARTS = (
    ("bowl-gasket", "bowl gasket", "between lid and bowl", 1, 4, {"thickness": ("0.8", "mm", "0.1")}),
    ("flange-gasket", "flange gasket", "flange", 1, 3, {"thickness": ("1.6", "mm", "0.2")}),
    ("jet-washer", "washer", "under the main jet", 1, 9, {"hole": ("6.5", "mm", "0.1")}),
    ("seat-washer", "washer", "under the needle seat", 1, 9, {"hole": ("11.2", "mm", "0.1")}),
    (
        "needle-seat",
        "needle and seat",
        "inlet",
        1,
        2,
        {"thread outside diameter": ("11", "mm", "0.05"), "bore": ("2.5", "mm", "0.03")},
    ),
    ("main-jet", "jet", "main well", 1, 0, {"bore": ("1.1", "mm", "0.01")}),
    (
        "shaft-bush",
        "bush",
        "throttle body, both ends",
        2,
        1,
        {"inside diameter": ("8", "mm", ""), "length": ("10", "mm", "")},
    ),
    ("float", "float", "bowl", 1, 1, {"outside diameter": ("40", "mm", "0.5"), "weight": ("26", "g", "1")}),
)
SIZES = tuple(
    PartSize(part=part, quantity=name, value=value, unit=unit, tolerance=wide, source="bench-book", page="7")
    for part, _, _, _, _, sizes in PARTS
    for name, (value, unit, wide) in sizes.items()
)
SETTINGS = (
    Setting(
        carburettor=KEY, quantity="float level", value="15.9", low=15.1, high=16.7, unit="mm", datum=DATUM,
        source="manual", page="18",
    ),
    Setting(
        carburettor=KEY, quantity="jet bore", value="1.1", low=1.08, high=1.12, unit="mm", source="manual", page="18"
    ),
    Setting(
        carburettor=KEY, quantity="idle turns", value="1.25", low=0.75, high=2.0, unit="turns out", needle="fuel",
        inward="leaner", source="manual", page="18",
    ),
    Setting(carburettor=KEY, quantity="main turns", value="1.5", low=1.0, high=2.5, unit="turns out", source="manual"),
)  # fmt: skip
FEATURES = {"magnet body": "sticks", "main needle": "below", "idle screw": "upper body", "choke kind": "plain plate"}


def shop(*, settings: Sequence[Setting] = SETTINGS, sizes: Sequence[PartSize] = SIZES, **features: str) -> Reference:
    """The shop, with other settings, sizes or looks (underscores stand for spaces)."""
    looks = FEATURES | {name.replace("_", " "): value for name, value in features.items()}
    return Reference(
        makers=(Maker(maker="tarnsyke", name="Tarnsyke"),),
        carburettors=(
            Carburettor(carburettor=KEY, maker="tarnsyke", name="Tarnsyke K36/118"),
            Carburettor(carburettor="k36-113", maker="tarnsyke", name="Tarnsyke K36/113"),
            Carburettor(carburettor="k36-120", maker="tarnsyke", name="Tarnsyke K36/120"),
        ),
        marks=tuple(Mark(carburettor=key, text="K36", role="family") for key in (KEY, "k36-113", "k36-120")),
        features=tuple(Feature(carburettor=KEY, feature=name, value=value) for name, value in looks.items()),
        settings=tuple(settings),
        parts=tuple(
            Part(part=part, kind=kind, name=part.replace("-", " ").capitalize(), on_hand=on_hand)
            for part, kind, _, _, on_hand, _ in PARTS
        ),
        part_sizes=tuple(sizes),
        carburettor_parts=tuple(
            CarburettorPart(carburettor=KEY, part=part, position=position, quantity=quantity)
            for part, _, position, quantity, _, _ in PARTS
        ),
        kits=(Kit(kit="T-12", name="Full kit", level="full"),),
        kit_parts=tuple(
            KitPart(kit="T-12", part=part, quantity=1, position=position) for part, _, position, _, _, _ in PARTS[:5]
        ),
        sources=(
            Source(source="manual", title="Tarnsyke Carburetters: Care and Adjustment", kind="manual"),
            Source(source="bench-book", title="Bench book", kind="bench"),
        ),
    )


@cache
def known(**looks: str) -> OnRecord:
    """The carburettor as recorded."""
    return on_record(shop(**looks), KEY)


def rows(**seen: str) -> dict[str, Row]:
    """Its sheet by measurement, with what the bench sees (underscores stand for spaces)."""
    facts = {name.replace("_", " "): word for name, word in seen.items()}
    return {row.key: row for row in sheet(known(), seen=facts)}


def reading(row: Row, text: str, place: str = "", tool: str = "") -> Taken:
    """A reading that must be taken."""
    taken = take(
        text, row, place=place or (row.measure.places[0] if len(row.measure.places) == 1 else place), tool=tool
    )
    assert isinstance(taken, Taken), taken
    return taken


def play(row: Row, *texts: str, tool: str = "dial gauge") -> list[Taken]:
    """Shaft play at the four places; one text stands for all."""
    each = texts * 4 if len(texts) == 1 else texts
    return [reading(row, text, place, tool) for text, place in zip(each, row.measure.places, strict=True)]


#: An invented engine of which everything is known.
ENGINE = RunsOn(
    name="Lowfold",
    displacement_m3=0.00208,
    idle_rpm=450,
    idle_manifold_pa=45_000,
    head_pa=5_400,
    level_below_lip_m=0.006,
    small_depression_pa=200,
    needle_over_float_arm=0.25,
)
