"""A small reference with every table in it, for the shop's tests."""

from __future__ import annotations

import pytest

from floatbowl.reference.facts import (
    CameOn,
    Carburettor,
    CarburettorPart,
    Confusion,
    Costs,
    Feature,
    FeatureKind,
    Kit,
    KitFit,
    KitPart,
    Machine,
    Maker,
    Mark,
    Part,
    PartSize,
    Reference,
    Replacement,
    Setting,
    Source,
    Tool,
)


@pytest.fixture
def small_reference() -> Reference:
    """Two makers, three carburettors, a kit, and a row of everything else."""
    book = {"source": "works", "page": "17"}
    return Reference(
        makers=(Maker(maker="tarnsyke", name="Tarnsyke"), Maker(maker="brattock", name="Brattock", check="mod7:A-G")),
        carburettors=(
            Carburettor(carburettor="k36-118", maker="tarnsyke", share=2.0, extra=(("shelf", "B4"),), **book),
            Carburettor(carburettor="k36-113", maker="tarnsyke"),
            Carburettor(carburettor="ring-206-d-3", maker="brattock", note="two\nlines"),
        ),
        marks=(
            Mark(carburettor="k36-118", text="K36/118", role="identifies", part="tag", form="stamped", **book),
            Mark(carburettor="k36-118", text="2063", role="casting", part="bowl", form="cast", doubt="read once"),
            Mark(carburettor="k36-113", text="K36/113", role="identifies", part="tag", form="stamped"),
            Mark(carburettor="ring-206-d-3", text="{RING}", role="family", part="lid", form="cast", with_="ring"),
            Mark(carburettor="ring-206-d-3", text="206-D-3", role="identifies", part="throttle body", with_="ring"),
        ),
        feature_kinds=(
            FeatureKind(feature="inlet side", question="Side?", kind="choice", choices="left | right", minutes=1.0),
            FeatureKind(
                feature="bolt spacing", question="How far apart?", kind="measure", unit="mm", spread=0.5, risk=0
            ),
        ),
        features=(
            Feature(carburettor="k36-118", feature="inlet side", value="left", **book),
            Feature(carburettor="k36-118", feature="bolt spacing", value="66.7"),
        ),
        confusions=(Confusion(feature="inlet side", true="left", said="right", weight=1.0),),
        tools=(Tool(tool="rule", spread=0.5, unit="mm"),),
        parts=(Part(part="G-1", kind="gasket", name="Bowl gasket", price=1.25, on_hand=3.0),),
        part_sizes=(PartSize(part="G-1", quantity="thickness", value="0.8", unit="mm"),),
        carburettor_parts=(CarburettorPart(carburettor="k36-118", part="G-1", position="bowl", quantity=1.0),),
        kits=(Kit(kit="T-25", name="Gasket kit", level="gaskets"), Kit(kit="T-26", name="Full kit", level="full")),
        kit_parts=(KitPart(kit="T-25", part="G-1", quantity=1.0, position="bowl"),),
        kit_fits=(KitFit(kit="T-25", carburettor="k36-118", **book), KitFit(kit="T-26", carburettor="k36-118")),
        replacements=(Replacement(old="T-25", new="T-26", both_ways="no"),),
        settings=(Setting(carburettor="k36-118", quantity="float level", value="15.9", unit="mm", datum="gasket off"),),
        machines=(Machine(machine="lowfold", make="Drumlow", model="Lowfold", cylinders=4, governed_rpm=1200.0),),
        came_on=(CameOn(machine="lowfold", carburettor="k36-118", how="factory", serial_from="1001", year_from=1948),),
        sources=(Source(source="works", title="Tarnsyke Works Sheets", kind="manual", page="1-40"),),
        currency="GBP",
        costs=Costs(wrong_kit=30.0, minute=0.5, bench=12.0),
    )
