"""The pages held against WCAG 2.2 A and AA by axe-core, at the desk and on a telephone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser

ADDRESSES = (
    "/counter/",
    "/enquiries/",
    "/notebook/carburettor/k36-118/",
    "/notebook/row/marks/1/",
    "/who/",
    "/shelf/",
    "/shelf/kit/T-25G/",
    "/shelf/bring-in/",
    "/office/",
    "/office/new/",
)
#: Pages whose order at the desk is another one than on a telephone.
DESK_ONLY = ("/counter/", "/notebook/carburettor/k36-118/")


def test_at_the_desk(desk: Page, broken: Callable[[Page], list[str]]) -> None:
    for address in DESK_ONLY:
        desk.goto(address)
        assert broken(desk) == [], address


def test_on_a_telephone(telephone: Page, broken: Callable[[Page], list[str]]) -> None:
    for address in ADDRESSES:
        telephone.goto(address)
        assert broken(telephone) == [], address


def test_the_places_take_one_row_on_a_telephone_and_open_by_keyboard(
    telephone: Page, broken: Callable[[Page], list[str]]
) -> None:
    head = telephone.locator(".frame-head")
    for address, name in (("/shelf/", "Shelf"), ("/counter/", "Counter"), ("/office/rules/", "Office")):
        telephone.goto(address)
        box = head.bounding_box()
        assert box
        assert box["height"] < 70, "more than one row"
        here = telephone.locator(".frame-places summary")
        expect(here).to_contain_text(name)
        expect(telephone.get_by_role("navigation", name="Places")).to_be_hidden()
    here.focus()
    telephone.keyboard.press("Enter")
    expect(telephone.locator('nav[aria-label="Places"] a[aria-current="page"]')).to_have_text("Office")
    assert broken(telephone) == []
    telephone.keyboard.press("Tab")
    telephone.keyboard.press("Tab")
    telephone.keyboard.press("Tab")
    telephone.keyboard.press("Enter")
    telephone.wait_for_url("**/bench/")


def test_an_enquiry_with_evidence(desk: Page, broken: Callable[[Page], list[str]]) -> None:
    desk.goto("/counter/")
    desk.locator("#start-caller").fill("Mrs Hollis")
    desk.keyboard.press("Alt+b")
    desk.wait_for_url("**/counter/*/1/")
    assert broken(desk) == []
    desk.keyboard.press("Alt+n")
    desk.keyboard.type("K3?/11[83]")
    desk.keyboard.press("Enter")
    expect(desk.locator("#readings")).to_contain_text("K3?/11[83]")
    assert broken(desk) == []


def test_axe_sees_what_is_wrong(desk: Page, broken: Callable[[Page], list[str]]) -> None:
    desk.goto("/counter/")
    desk.evaluate(
        """() => {
            document.querySelector('h1').style.color = '#ddd'
            document.querySelector('main').append(document.createElement('input'))
        }"""
    )
    assert {line.split(":")[0] for line in broken(desk)} == {"label", "color-contrast"}
