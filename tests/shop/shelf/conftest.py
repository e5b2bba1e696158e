"""A small shop with kits, parts and what they are made of."""

from __future__ import annotations

import pytest

from floatbowl.reference.facts import Carburettor, Kit, KitFit, KitPart, Maker, Mark, Part, Reference, Replacement
from floatbowl.shop.load import load_reference
from floatbowl.shop.standing import forget

RECORDS = Reference(
    makers=(Maker(maker="tarnsyke", name="Tarnsyke"),),
    carburettors=(
        Carburettor(carburettor="k36-118", maker="tarnsyke"),
        Carburettor(carburettor="k36-113", maker="tarnsyke"),
    ),
    marks=(Mark(carburettor="k36-118", text="K36/118", role="identifies", part="tag", form="stamped"),),
    parts=(
        Part(part="G-1", kind="gasket", name="Bowl gasket", cost=0.9, price=2.25, on_hand=8.0),
        Part(part="W-1", kind="washer", name="Seat washer", cost=0.1, price=0.5, on_hand=5.0),
        Part(part="G-0", kind="gasket", name="Old bowl gasket", cost=0.9, on_hand=None),
        Part(part="cord", kind="packing", name="Packing cord", on_hand=2.5),
    ),
    kits=(
        Kit(kit="T-25G", name="Gasket kit", level="gaskets", price=5.5, on_hand=1.0),
        Kit(kit="T-26G", name="Second gasket kit", level="gaskets", price=6.0, on_hand=0.0),
        Kit(kit="T-99", name="Kit without parts", level="full"),
    ),
    kit_parts=(
        KitPart(kit="T-25G", part="G-1", quantity=1.0, position="bowl"),
        KitPart(kit="T-25G", part="W-1", quantity=1.0, position="seat"),
        KitPart(kit="T-25G", part="W-1", quantity=1.0, position="jet"),
        KitPart(kit="T-26G", part="G-1", quantity=1.0, position="bowl"),
        KitPart(kit="T-26G", part="cord", quantity=0.5, position="shaft"),
    ),
    kit_fits=(
        KitFit(kit="T-25G", carburettor="k36-118"),
        KitFit(kit="T-26G", carburettor="k36-118"),
        KitFit(kit="T-26G", carburettor="k36-113"),
    ),
    replacements=(Replacement(old="G-0", new="G-1", both_ways="no"),),
    currency="EUR",
)


@pytest.fixture
def records(db: None) -> Reference:
    load_reference(RECORDS, "Ines")
    forget()
    return RECORDS
