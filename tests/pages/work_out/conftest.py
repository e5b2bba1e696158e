"""One invented calculation with everything a page can show, in place of the real ones."""

from __future__ import annotations

import math

import pytest
from django.test import Client

from floatbowl.engine.refusal import within
from floatbowl.shop.pages.work_out import views
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Curve, Figure, MindThis, Table
from floatbowl.work_out.everything import Group

HTMX = {"HX-Request": "true", "HX-Target": "answer"}


def _hole(*, hole_m: float, depth_m: float, fluid: str) -> Answer:
    within("the hole", hole_m, 0.0001, 0.1, "m")
    volume = math.pi / 4 * hole_m**2 * depth_m
    points = tuple((mm, math.pi / 4 * mm**2 * depth_m) for mm in range(1, 21))
    return Answer(
        f"The hole holds {volume * 1e6:.2f} cm3 of {fluid}.",
        (Figure("volume", "It holds", volume, "volume", "cm3"), Figure("across", "Across", hole_m, "length", "mm")),
        (Table(("Drill", "Size"), (("<10>", "10 mm"),), "Nearest drills"),),
        Curve("Hole, mm", "Volume, cm3", points, (hole_m * 1000, volume * 1e6), ((2.0, 6.0, "small"),)),
        ("Blow it out first.",),
    )


HOLE = Calculation(
    key="hole",
    title="What a hole holds",
    about="For a blind hole with a flat end.",
    asks=(
        Asked("hole_m", "Hole", "length", "mm", usual=0.01, spread=0.0001, how="With a pin gauge."),
        Asked("depth_m", "Depth", "length", "mm"),
        Asked("fluid", "Fluid", choices=("petrol", "E10"), usual="petrol"),
    ),
    work=_hole,
    equation="V = pi d^2 h / 4",
    holds="Round holes.",
    source="Geometry.",
    validated=False,
    cautions=(MindThis("No petrol indoors.", "the fire rule of the shop"),),
    drawing="jet",
)
PLAIN = Calculation(
    key="plain",
    title="Something of the float",
    about="Nothing is asked.",
    asks=(),
    work=lambda: Answer("Nothing."),
    equation="-",
    holds="Always.",
    source="Nothing.",
)


@pytest.fixture
def hole(monkeypatch: pytest.MonkeyPatch) -> Calculation:
    monkeypatch.setattr(views, "calculations", lambda: {"hole": HOLE, "plain": PLAIN})
    monkeypatch.setattr(views, "groups", lambda: (Group("Holes", (HOLE,)), Group("Floats", (PLAIN,))))
    return HOLE


@pytest.fixture
def visitor() -> Client:
    return Client(SERVER_NAME="localhost")
