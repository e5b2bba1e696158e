"""The Notebook in a real browser: by keyboard at the desk, by touch on a telephone, two people at one record."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser

ADDRESSES = (
    "/notebook/",
    "/notebook/?find=118",
    "/notebook/carburettor/k36-118/",
    "/notebook/carburettor/k36-118/changes/",
    "/notebook/kit/T-25G/",
    "/notebook/machine/lowfold/",
    "/notebook/feature/draught/",
    "/notebook/maker/tarnsyke/",
    "/notebook/source/",
    "/notebook/look-alikes/",
    "/notebook/changes/",
    "/notebook/row/marks/1/",
    "/notebook/row/marks/1/remove/",
    "/notebook/add/came_on/?carburettor=k36-118",
    "/notebook/add/parts/",
    "/who/",
)
TOO_SMALL = """[...document.querySelectorAll('a, button, input:not([type=hidden]), select, textarea, summary')]
    .filter(one => one.checkVisibility() && one.getBoundingClientRect().height < 24 && !one.closest('p, li, dt'))
    .map(one => one.outerHTML)"""
NAMELESS = """[...document.querySelectorAll('input:not([type=hidden]), select, textarea')]
    .filter(one => !one.labels?.length && !one.getAttribute('aria-label')).map(one => one.outerHTML)"""
TWICE = """[...document.querySelectorAll('[id]')].map(one => one.id).filter((id, at, all) => all.indexOf(id) !== at)"""
DANGLING = """[...document.querySelectorAll('[aria-describedby], [aria-labelledby]')].flatMap(one =>
    `${one.getAttribute('aria-describedby') || ''} ${one.getAttribute('aria-labelledby') || ''}`.split(' '))
    .filter(id => id && !document.getElementById(id))"""


def test_pages_fit_a_telephone_and_every_target_can_be_hit_and_named(telephone: Page) -> None:
    for address in ADDRESSES:
        telephone.goto(address)
        assert telephone.evaluate("document.documentElement.scrollWidth") <= 390, address
        for wrong in (TOO_SMALL, NAMELESS, TWICE, DANGLING):
            assert telephone.evaluate(wrong) == [], address
        assert telephone.locator("h1").count() == 1, address


def test_looking_up_and_changing_by_keyboard_alone(desk: Page) -> None:
    desk.goto("/notebook/")
    desk.keyboard.type("works sheets zzz")
    expect(desk.locator("#found")).to_contain_text("Nothing in the notebook")
    desk.keyboard.press("Control+a")
    desk.keyboard.type("118")
    link = desk.get_by_role("link", name="Tarnsyke K36/118", exact=True)
    expect(link).to_be_visible()
    _tab_to(desk, "Tarnsyke K36/118")
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", level=1)).to_have_text("Tarnsyke K36/118")
    _tab_to(desk, "Add a machine")
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", level=1)).to_contain_text("Add a machine")
    for field, typed in (("who", "Ines Marchbank"), ("machine", "Drumlow Highfeld"), ("serial_from", "70001")):
        _tab_into(desk, field)
        desk.keyboard.type(typed)
    desk.keyboard.press("Enter")
    expect(desk.locator("#field-machine_error")).to_contain_text("Near it: Drumlow Highfold")
    expect(desk.get_by_label("From serial number")).to_have_value("70001")
    _tab_into(desk, "machine")
    desk.keyboard.press("Control+a")
    desk.keyboard.type("Drumlow Highfold")
    desk.keyboard.press("Enter")
    expect(desk.locator(".messages")).to_contain_text("Added: machine a carburettor came on")
    expect(desk.locator("#changed ~ .nb-changes")).to_contain_text("Ines Marchbank added")
    expect(desk.locator("tr:target")).to_contain_text("70001")


def test_the_second_person_at_a_record_sees_both_texts(desk: Page, telephone: Page) -> None:
    for page, name in ((desk, "Priya Collis"), (telephone, "Hal Dunmore")):
        page.goto("/who/")
        page.get_by_label("Name", exact=True).fill(name)
        page.get_by_role("button", name="Add and use this name").click()
        page.goto("/notebook/source/nettlebeck-notes/")
        page.get_by_role("link", name="Change this source").click()
    desk.get_by_label("Doubt").fill("some of it from memory")
    desk.get_by_role("button", name="Save").click()
    expect(desk.locator(".messages")).to_contain_text("Saved: source")
    telephone.get_by_label("Doubt").fill("check against the shelf")
    telephone.get_by_role("button", name="Save").click()
    expect(telephone.get_by_role("alert").filter(has_text="Priya Collis changed this source")).to_be_visible()
    expect(telephone.get_by_text("Now it says: some of it from memory")).to_be_visible()
    expect(telephone.get_by_label("Doubt")).to_have_value("check against the shelf")
    telephone.get_by_role("button", name="Save mine over it").click()
    expect(telephone.locator(".messages")).to_contain_text("Saved: source")
    expect(telephone.locator(".nb-changes")).to_contain_text("after: check against the shelf")


def _tab_into(page: Page, field: str) -> None:
    """Press Tab until a field of the form has the keyboard."""
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == field:
            return
    raise AssertionError(f"the keyboard never comes to {field}")


def _tab_to(page: Page, name: str) -> None:
    """Press Tab until the link of this name has the keyboard."""
    for _ in range(250):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.innerText.trim()") == name:
            return
    raise AssertionError(f"the keyboard never comes to {name}")
