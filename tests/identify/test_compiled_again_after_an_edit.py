"""A weigher that takes over what an earlier one compiled answers as one that is compiled anew."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from worked_shop import worked_shop

from floatbowl.identify.answer import as_result
from floatbowl.identify.consult import consult
from floatbowl.identify.wear import shipped_error_model
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import CameOn, KitFit, Mark, Reference
from floatbowl.reference.observed import Enquiry, Look, Reading

BEFORE = worked_shop()
EARLIER = Weigher(BEFORE)


def first(table: str, **values: Any) -> Reference:
    """The shop with the first row of a table saying something else."""
    rows = getattr(BEFORE, table)
    return replace(BEFORE, **{table: (replace(rows[0], **values), *rows[1:])})


def more(table: str, row: object) -> Reference:
    return replace(BEFORE, **{table: (*getattr(BEFORE, table), row)})  # type: ignore[arg-type]


def fewer(table: str) -> Reference:
    return replace(BEFORE, **{table: getattr(BEFORE, table)[1:]})


KEYS = [c.carburettor for c in BEFORE.carburettors]
EDITS = {
    "nothing": replace(BEFORE),
    "a mark's text": first("marks", text="Z99/99"),
    "a mark's role": first("marks", role="casting"),
    "a mark with a new device": more("marks", Mark(carburettor=KEYS[2], text="{WHEEL} 12", role="identifies")),
    "a mark fewer": fewer("marks"),
    "a feature fewer": fewer("features"),
    "another choice": first("features", value="a little"),
    "a share": first("carburettors", share=7.5),
    "a name": first("carburettors", name="Renamed"),
    "a carburettor fewer": fewer("carburettors"),
    "carburettors in another order": replace(BEFORE, carburettors=BEFORE.carburettors[::-1]),
    "another maker": first("carburettors", maker=BEFORE.carburettors[-1].maker),
    "a maker fewer": fewer("makers"),
    "a maker's check letter": first("makers", check="mod7:A-G"),
    "a kit that fits": more("kit_fits", KitFit(kit=BEFORE.kits[-1].kit, carburettor=KEYS[0], condition="tight")),
    "a machine's option": more("came_on", CameOn(machine="wellhead", carburettor=KEYS[-1], how="option")),
    "a machine's name": first("machines", model="Hillfold"),
    "a usual wrong answer more": fewer("confusions"),
    "a tool's spread": first("tools", spread=3.0),
}
ENQUIRIES = (
    Enquiry("nothing"),
    Enquiry("tag", "lowfold", readings=(Reading("K3?/11[83]", part="tag"),)),
    Enquiry("typed", machine_text="hillfold", readings=(Reading("2063"), Reading("RING 206-D-3", part="lid"))),
    Enquiry("looks", looks=(Look("magnet body", "sticks"), Look("bolt spacing", 60.0, tool="rule"))),
    Enquiry("two", "wellhead", looks=(Look("inlet side", "left", coached=True), Look("bore", 1.2))),
)


@pytest.mark.parametrize("edit", EDITS)
def test_it_answers_as_one_compiled_anew(edit: str) -> None:
    taken_over, anew = Weigher(EDITS[edit], earlier=EARLIER), Weigher(EDITS[edit])
    for enquiry in ENQUIRIES:
        one, other = taken_over.weigh(enquiry), anew.weigh(enquiry)
        np.testing.assert_allclose(one.posterior, other.posterior, rtol=1e-12, atol=0)
        assert as_result(consult(taken_over, enquiry)) == as_result(consult(anew, enquiry))


@pytest.mark.parametrize("edit", EDITS)
def test_the_earlier_one_is_left_as_it_was(edit: str) -> None:
    before = [as_result(consult(EARLIER, enquiry)) for enquiry in ENQUIRIES]
    for enquiry in ENQUIRIES:
        consult(Weigher(EDITS[edit], earlier=EARLIER), enquiry)
    assert [as_result(consult(EARLIER, enquiry)) for enquiry in ENQUIRIES] == before


def test_what_an_edit_does_not_touch_is_not_compiled_again() -> None:
    edited = Weigher(EDITS["a feature fewer"], earlier=EARLIER)
    assert edited.catalogue.index is EARLIER.catalogue.index
    assert edited.machines is EARLIER.machines
    assert edited.features is not EARLIER.features
    assert Weigher(EDITS["a mark fewer"], earlier=EARLIER).features is EARLIER.features


def test_another_error_model_is_compiled_anew() -> None:
    model = shipped_error_model()
    other = replace(model, seen=replace(model.seen, wrong_clean=0.2))
    taken_over, anew = Weigher(BEFORE, other, earlier=EARLIER), Weigher(BEFORE, other)
    for enquiry in ENQUIRIES:
        np.testing.assert_allclose(
            taken_over.weigh(enquiry).posterior, anew.weigh(enquiry).posterior, rtol=1e-12, atol=0
        )
