"""The bench by hand, on a telephone: one thing after another, and nothing lost or doubled when the connection goes."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser
WAIT_MS = 15_000


def _book(page: Page, owner: str) -> str:
    page.goto("/bench/book/")
    page.get_by_label("Whose is it").fill(owner)
    page.get_by_role("button", name="Book it in").click()
    page.wait_for_url(re.compile(r"/bench/\d+/step/booked-in/"))
    return page.url.partition("/step/")[0]


def _picture(seed: int = 0) -> dict[str, object]:
    pixels = np.random.default_rng(seed).integers(60, 190, (60, 80, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG")
    return {"name": f"{seed}.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def test_with_the_connection_gone_everything_is_kept_and_sent_once(telephone: Page) -> None:
    job = _book(telephone, "Corwin Hollis")
    telephone.context.set_offline(True)
    entry = telephone.locator("#entry-booked-in-missing-parts")
    entry.locator("textarea").fill("one bowl screw")
    entry.get_by_role("button", name="Keep").click()
    telephone.locator("#entry-booked-in-fuel-inside").get_by_role("button", name="dry").click()
    telephone.locator("#entry-booked-in-photographs input[type=file]").set_input_files([_picture(1), _picture(2)])  # type: ignore[arg-type]
    expect(telephone.locator("#unsent")).to_contain_text("4 kept on this phone", timeout=WAIT_MS)
    expect(entry).to_contain_text("Kept on this phone")

    telephone.context.set_offline(False)
    telephone.goto(f"{job}/step/strip-sheet/")  # Another page of the shop sends what this phone has kept.
    telephone.wait_for_function("document.getElementById('unsent').hidden", timeout=WAIT_MS)
    telephone.goto(f"{job}/step/booked-in/")
    expect(telephone.locator("#entry-booked-in-missing-parts .kept")).to_contain_text("one bowl screw", timeout=WAIT_MS)
    expect(telephone.locator("#entry-booked-in-photographs img")).to_have_count(2)
    telephone.goto(f"{job}/history/")
    told = telephone.locator(".happened").inner_text()
    assert told.count("one bowl screw") == 1
    assert told.count("Photograph:") == 2


def test_what_cannot_be_is_asked_back_and_stays_in_its_field(telephone: Page) -> None:
    job = _book(telephone, "Dessa Wainlow")
    telephone.goto(f"{job}/step/strip-sheet/")
    entry = telephone.locator("#entry-strip-sheet-idle-needle")
    entry.locator("input[name=value]").fill("40")
    entry.get_by_role("button", name="Keep").click()
    expect(entry.locator(".error")).to_contain_text("cannot be", timeout=WAIT_MS)
    assert entry.locator("input[name=value]").input_value() == "40"
    entry.get_by_role("button", name="not fitted").click()
    expect(entry.locator(".kept")).to_contain_text("not fitted", timeout=WAIT_MS)


def test_the_measuring_sheet_shows_one_row_at_a_time(telephone: Page) -> None:
    job = _book(telephone, "Orrin Tasker")
    telephone.goto(f"{job}/step/measure/")
    rows = telephone.locator("[data-row]:visible")
    expect(rows).to_have_count(1)
    first = rows.first.locator("h3").inner_text()
    telephone.get_by_role("button", name="Next row").click()
    expect(rows).to_have_count(1)
    assert rows.first.locator("h3").inner_text() != first
    rows.first.locator("input[name=value]").fill(".010")
    rows.first.get_by_role("button", name="Keep", exact=True).first.click()
    expect(rows.first).to_contain_text(".010", timeout=WAIT_MS)
    telephone.reload()
    expect(rows).to_have_count(1)
    assert rows.first.locator("h3").inner_text() != first, "the place on the sheet is lost"


def test_a_timer_outlives_a_reload(telephone: Page) -> None:
    job = _book(telephone, "Maud Fenlock")
    telephone.goto(f"{job}/step/wet-bench/")
    entry = telephone.locator("#entry-wet-bench-no-drip")
    entry.get_by_role("button", name="Start 10 minutes").click()
    expect(entry.locator("output")).to_contain_text("to go")
    telephone.reload()
    expect(entry.locator("output")).to_contain_text("to go")
    telephone.evaluate(
        "for (const key of Object.keys(localStorage)) if (key.includes('timer')) localStorage.setItem(key, '1')"
    )
    expect(entry.locator("output")).to_contain_text("minutes are over")


def test_half_typed_text_outlives_what_is_kept_beside_it(telephone: Page) -> None:
    _book(telephone, "Ines Marchbank")
    entry = telephone.locator("#entry-booked-in-missing-parts")
    entry.locator("textarea").fill("two screws and")
    telephone.locator("#entry-booked-in-idle").get_by_role("button", name="unsteady").click()
    expect(telephone.locator("#entry-booked-in-idle .kept")).to_contain_text("unsteady", timeout=WAIT_MS)
    assert entry.locator("textarea").input_value() == "two screws and"


def test_axe_finds_nothing_on_the_bench_and_every_target_is_large(
    telephone: Page, broken: Callable[[Page], list[str]]
) -> None:
    job = _book(telephone, "Hal Dunmore")
    addresses = ["/bench/", *(f"{job}/step/{step}/" for step in ("booked-in", "parts-wanted"))]
    for address in addresses:
        telephone.goto(address)
        telephone.evaluate("document.querySelectorAll('main details').forEach((note) => { note.open = true })")
        assert broken(telephone) == [], address
        assert telephone.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{address} runs off the side"
        small = telephone.evaluate(
            """() => [...document.querySelectorAll('main button, main .plain-button, main summary')]
                .filter((one) => one.checkVisibility() && one.getBoundingClientRect().height < 47)
                .map((one) => one.textContent.trim())"""
        )
        assert small == [], address
