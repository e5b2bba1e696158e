"""Photographing a mark: on a telephone with one hand, through a dropped connection; and at the desk with keys alone."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter, ImageFont
from playwright.sync_api import Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.timeout(180)]
CHECKS = Path(__file__).with_name("page_checks.js").read_text(encoding="utf-8")
SIZE = (800, 600)
TORCHES = {"left": (-1, 0), "top": (0, -1), "right": (1, 0), "bottom": (0, 1)}


def photograph(side: tuple[int, int] | None, seed: int) -> bytes:
    """A plate with a punched number on a dark ground; ``side`` is where the torch is, x right and y down."""
    drawn = Image.new("L", SIZE, 0)
    pen = ImageDraw.Draw(drawn)
    pen.text((190, 260), "K36/118", fill=255, font=ImageFont.load_default(96))
    height = np.asarray(drawn.filter(ImageFilter.GaussianBlur(2)), dtype=float) / -40
    slope_y, slope_x = np.gradient(height)
    shade = np.full_like(height, 0.55)
    if side:
        shade += 0.9 * (-slope_x * side[0] - slope_y * side[1])
    plate = np.zeros_like(height)
    plate[180:420, 120:680] = 1
    grain = np.random.default_rng(seed).normal(0, 0.012, height.shape) + np.random.default_rng(1).normal(
        0, 0.03, height.shape
    )
    grey = np.clip(np.where(plate > 0, shade + grain, 0.12 + grain), 0, 1)
    out = io.BytesIO()
    Image.fromarray((grey * 255).astype(np.uint8)).convert("RGB").save(out, "JPEG", quality=92)
    return out.getvalue()


@pytest.fixture(scope="module")
def pictures() -> dict[str, Any]:
    """The plain picture and four by torch, as a file chooser gives them."""
    sides: dict[str, tuple[int, int] | None] = {"plain": None, **TORCHES}
    return {
        place: {"name": f"{place}.jpg", "mimeType": "image/jpeg", "buffer": photograph(side, number)}
        for number, (place, side) in enumerate(sides.items(), start=2)
    }


def begin(page: Page) -> str:
    page.goto("/counter/")
    page.locator("[name='caller']").fill("Mr Threlfall")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/counter/*/1/")
    call = page.url
    page.get_by_role("button", name="Photograph the mark").click()
    page.wait_for_url("**/take/untouched/")
    return call


def take(page: Page, picture: Any) -> None:
    """The camera's own page is the telephone's; what it gives back is this."""
    page.locator("form.camera input[capture]").set_input_files(picture)
    expect(page.locator(".taken-picture img")).to_be_visible()


def next_step(page: Page, step: str) -> None:
    page.locator("a.go").tap()
    page.wait_for_url(f"**/take/{step}/")


def breaking(page: Page, check: str) -> Any:
    return page.evaluate(f"() => {{ {CHECKS}\n return {check}; }}")


def sound(page: Page) -> None:
    """What every page is held to."""
    assert breaking(page, "nameless()") == []
    assert breaking(page, "pale()") == []
    assert breaking(page, "idsTwice()") == []
    assert page.locator("h1").count() == 1
    width = page.viewport_size["width"] if page.viewport_size else 0
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def fit_for_a_glove(page: Page) -> None:
    sound(page)
    assert breaking(page, "tooSmall(47.5)") == []


def only(page: Page, text: str) -> None:
    """Whatever was read: strike it out and put this in the boxes, by keys."""
    while page.locator("#boxes .box").count():
        page.locator("#boxes .box").first.focus()
        page.keyboard.press("Delete")
    for sign in text:
        page.get_by_role("button", name=re.compile("Add ")).last.click()
        page.locator("#boxes .choose input").press_sequentially(sign)
        page.get_by_role("button", name="Done").click()


def test_on_a_telephone_from_the_first_step_to_the_call(
    telephone: Page, pictures: dict[str, Any], broken: Callable[[Page], list[str]]
) -> None:
    call = begin(telephone)
    assert broken(telephone) == []
    for step in ("steady", "rule", "plain"):
        fit_for_a_glove(telephone)
        next_step(telephone, step)
    fit_for_a_glove(telephone)
    take(telephone, pictures["plain"])
    fit_for_a_glove(telephone)
    assert broken(telephone) == []
    accept_if_asked(telephone, "left")

    # Four at once; the connection drops after the first, and what is missing goes when it is back.
    sent = []

    def drop(route: Any) -> None:
        if route.request.method == "POST":
            sent.append(route.request.url)
        if len(sent) > 1:
            route.abort()
        else:
            route.continue_()

    telephone.route("**/upload/**", drop)
    telephone.locator("form.camera input[multiple]").set_input_files([pictures[place] for place in TORCHES])
    expect(telephone.get_by_role("button", name="Send the missing ones")).to_be_visible()
    expect(telephone.locator(".round-grid img")).to_have_count(2)
    telephone.unroute("**/upload/**")
    telephone.get_by_role("button", name="Send the missing ones").tap()
    expect(telephone.locator(".round-grid img")).to_have_count(5, timeout=60_000)
    expect(telephone.locator("#sending")).to_be_hidden()

    telephone.get_by_role("link", name="on to the plate").tap()
    telephone.wait_for_url("**/corners/")
    fit_for_a_glove(telephone)
    assert broken(telephone) == []
    drag_corner(telephone)
    telephone.get_by_role("button", name="Straighten").tap()
    telephone.wait_for_url("**/line/")
    expect(telephone.locator("#quad-board")).to_be_visible(timeout=90_000)
    telephone.locator(".views .chip", has_text="Relief").tap()
    fit_for_a_glove(telephone)
    assert broken(telephone) == []
    telephone.get_by_role("button", name="Read this line").tap()
    telephone.wait_for_url("**/read/")
    expect(telephone.locator("#boxes-form")).to_be_visible(timeout=90_000)
    expect(telephone.locator("#light")).to_be_visible()
    fit_for_a_glove(telephone)
    assert broken(telephone) == []
    only(telephone, "K36/118")
    expect(telephone.locator("#boxes-said")).to_contain_text("Kept: K36/118")
    telephone.reload()
    assert (
        "".join(telephone.locator("#boxes .box").evaluate_all("all => all.map(box => box.firstChild.data)"))
        == "K36/118"
    )
    telephone.get_by_role("button", name="I see it too").tap()
    telephone.wait_for_url(call)
    expect(telephone.locator("#readings .items .number")).to_have_text("K36/118")
    expect(telephone.locator("#readings .read-by")).to_have_text("confirmed by eye")
    fit_for_a_glove(telephone)


def accept_if_asked(page: Page, step: str) -> None:
    """Go on; a picture that is found wanting is kept all the same."""
    keep = page.get_by_role("button", name="Keep it all the same")
    if keep.count():
        keep.tap()
        page.wait_for_url(f"**/take/{step}/")
    else:
        next_step(page, step)


def drag_corner(page: Page) -> None:
    """The first corner follows the finger, and the glass shows what is under it."""
    before = page.locator("#quad").input_value()
    box = page.locator("[data-corner='0'] .corner-ring").bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 6, y - 4)
    expect(page.locator(".loupe")).to_be_visible()
    page.mouse.up()
    expect(page.locator(".loupe")).to_be_hidden()
    assert page.locator("#quad").input_value() != before


def test_at_the_desk_by_keys_alone(desk: Page, pictures: dict[str, Any], broken: Callable[[Page], list[str]]) -> None:
    begin(desk)
    address = desk.url.split("take/")[0]
    desk.goto(f"{address}take/plain/")
    take(desk, pictures["plain"])
    sound(desk)
    desk.goto(f"{address}corners/")
    corner = desk.locator("[data-corner='2']")
    corner.focus()
    before = desk.locator("#quad").input_value()
    desk.keyboard.press("ArrowLeft")
    desk.keyboard.press("Shift+ArrowUp")
    assert desk.locator("#quad").input_value() != before
    assert breaking(desk, "unmarkedFocus()") is None or corner.evaluate("el => el.matches(':focus')")
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/line/")
    expect(desk.locator("#quad-board")).to_be_visible(timeout=90_000)
    desk.locator("[data-corner='0']").focus()
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/read/")
    expect(desk.locator("#boxes-form")).to_be_visible(timeout=90_000)
    sound(desk)
    assert broken(desk) == []
    only(desk, "206-D-3")
    desk.locator("#boxes .box").nth(1).focus()
    desk.keyboard.press("8")
    assert desk.evaluate("document.activeElement.getAttribute('aria-label')").startswith("Character 3")
    expect(desk.locator("#boxes-said")).to_contain_text("Kept: 286-D-3")
    desk.get_by_role("button", name="Undo").click()
    expect(desk.locator("#boxes-said")).to_contain_text("Kept: 206-D-3")
