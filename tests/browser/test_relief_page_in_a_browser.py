"""The page that relights a relief, opened from the disk on a telephone."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from floatbowl.photo.crops import Straight
from floatbowl.photo.normals import normals_from_slopes
from floatbowl.photo.relief import Relief
from floatbowl.photo.relight_page import relight_page

TELEPHONE = {"width": 390, "height": 844}


def a_relief() -> Relief:
    """A roof: its left half leans to the left, its right half to the right."""
    slopes = np.zeros((2, 40, 80), dtype=np.float32)
    slopes[0, :, :40], slopes[0, :, 40:] = -0.4, 0.4
    flat = np.zeros((40, 80), dtype=np.float32)
    straight = Straight(np.full((40, 80, 3), 90, np.uint8), flat[None], np.eye(3), "told")
    return Relief(straight, normals_from_slopes(slopes), flat, flat, 4, 0.9)


HALVES = """() => {
  const canvas = document.getElementById("light"), pen = canvas.getContext("2d");
  return [10, 70].map((across) => pen.getImageData(across, 20, 1, 1).data[0]);
}"""


@pytest.mark.browser
def test_light_follows_finger_and_keys(browser: Browser, tmp_path: Path) -> None:
    (tmp_path / "relight.html").write_text(
        relight_page(a_relief(), "tag", ("Only 3 torch photographs.",)), encoding="utf-8"
    )
    page = browser.new_page(viewport=TELEPHONE)
    said: list[str] = []
    page.on("pageerror", lambda fault: said.append(str(fault)))
    page.on("request", lambda request: said.append(request.url) if request.url.startswith("http") else None)
    page.goto((tmp_path / "relight.html").as_uri())
    light = page.locator("#light")
    page.wait_for_function("document.getElementById('where').textContent !== ''")
    assert Axe().run(page).response["violations"] == []
    box = light.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] * 0.97, box["y"] + box["height"] / 2)
    page.wait_for_function("document.getElementById('where').textContent.includes('from the right')")
    left, right = page.evaluate(HALVES)
    assert right > left + 60
    light.focus()
    for _ in range(12):
        page.keyboard.press("ArrowRight")
    page.wait_for_function("document.getElementById('where').textContent.includes('from the left')")
    left, right = page.evaluate(HALVES)
    assert left > right + 60
    page.click("#invert")
    page.wait_for_timeout(100)
    inverted = page.evaluate(HALVES)
    assert inverted[1] > inverted[0] + 60
    page.click("#larger")
    wider = light.bounding_box()
    assert wider is not None
    assert wider["width"] > 1.4 * box["width"]
    assert page.evaluate("document.documentElement.scrollWidth") <= TELEPHONE["width"]
    with page.expect_download() as saved:
        page.click("#save")
    assert saved.value.suggested_filename == "relief-lit.png"
    page.close()
    assert said == []
