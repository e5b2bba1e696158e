"""A small notebook in the database, and browsers that look at it."""

from __future__ import annotations

import pytest
from django.test import Client

from floatbowl.reference.facts import (
    CameOn,
    Carburettor,
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
    Setting,
    Source,
)


@pytest.fixture
def written() -> Reference:
    """What stands in the notebook."""
    book = {"source": "works", "page": "17"}
    return Reference(
        makers=(Maker(maker="tarnsyke", name="Tarnsyke"),),
        carburettors=(
            Carburettor(carburettor="k36-118", maker="tarnsyke", extra=(("shelf", "B4"),), **book),
            Carburettor(carburettor="k36-113", maker="tarnsyke"),
            Carburettor(carburettor="odd / key?", maker="tarnsyke", name="Oddly named"),
        ),
        marks=(
            Mark(carburettor="k36-118", text="K36/118", role="identifies", part="tag", form="stamped", **book),
            Mark(carburettor="k36-118", text="2063", role="casting", part="bowl", form="cast", doubt="read once"),
            Mark(carburettor="k36-113", text="K36/113", role="identifies", part="tag", form="stamped"),
        ),
        feature_kinds=(FeatureKind(feature="inlet side", question="Side?", kind="choice", choices="left | right"),),
        features=(Feature(carburettor="k36-118", feature="inlet side", value="left", **book),),
        parts=(Part(part="G-1", kind="gasket", name="Bowl gasket", price=1.25, on_hand=3.0),),
        part_sizes=(PartSize(part="G-1", quantity="thickness", value="0.8", unit="mm", tolerance="0.1"),),
        kits=(Kit(kit="T-25", name="Gasket kit", level="gaskets"), Kit(kit="T-26", name="Full kit", level="full")),
        kit_parts=(KitPart(kit="T-25", part="G-1", quantity=1.0, position="bowl"),),
        kit_fits=(KitFit(kit="T-25", carburettor="k36-118"), KitFit(kit="T-26", carburettor="k36-113")),
        settings=(Setting(carburettor="k36-118", quantity="float level", value="15.9", unit="mm", datum="gasket off"),),
        machines=(Machine(machine="lowfold", make="Drumlow", model="Lowfold"),),
        came_on=(CameOn(machine="lowfold", carburettor="k36-118", how="factory"),),
        sources=(Source(source="works", title="Tarnsyke Works Sheets", kind="manual"),),
    )


@pytest.fixture
def notebook(db: None, written: Reference) -> Reference:
    """The notebook, loaded."""
    from floatbowl.shop.load import load_reference

    load_reference(written, "Hal")
    return written


def browser_of(name: str) -> Client:
    """A browser on which somebody chose a name."""
    from floatbowl.shop.models import Person

    client = Client(SERVER_NAME="localhost")
    Person.objects.get_or_create(name=name)
    client.post("/who/", {"choose": name})
    return client


@pytest.fixture
def ines(notebook: Reference) -> Client:
    return browser_of("Ines")


@pytest.fixture
def wil(notebook: Reference) -> Client:
    return browser_of("Wil")
