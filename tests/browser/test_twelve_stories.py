"""The shop's stories, told at the counter from the first word to the outcome: by keyboard alone, and by touch."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from floatbowl.demo.stories import Step, Story, read_stories
from floatbowl.shop.pages.counter.book import Book

pytestmark = [pytest.mark.browser, pytest.mark.timeout(240)]

_spec = importlib.util.spec_from_file_location("counter_hands", Path(__file__).with_name("hands.py"))
assert _spec
assert _spec.loader
hands = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(hands)

STORIES = read_stories()
#: How a call ends that ends without a kit sent: outcome and reason, by the advice that stands at the end.
ENDS = {"ask": ("asked", "asked to look once more"), "bench": ("rebuild", "sends it in to the bench")}


def as_typed(row: dict[str, Any]) -> dict[str, Any]:
    """A photograph's probabilities as the counter person writes them: likely ones in brackets, the rest as ``?``."""
    if "cells" not in row:
        return row
    text = ""
    for cell in row["cells"]:
        likely = [sign for sign, chance in cell.items() if sign and chance >= 0.3]
        text += likely[0] if len(likely) == 1 else f"[{''.join(likely)}]" if likely else "?"
    return {**row, "text": text}


def tell(hands: Any, step: Step, book: Book) -> None:
    """Do at the page what one step of a story says."""
    evidence = step.evidence
    if "want_level" in evidence:
        hands.want(evidence["want_level"], evidence["want_fuel"])
    if "machine" in evidence:
        hands.machine(book.machine_name(evidence["machine"]), evidence.get("serial", ""))
    for row in map(as_typed, evidence.get("readings", ())):
        hands.reading(row)
    for row in evidence.get("looks", ()):
        hands.look(row, book.kinds[row["feature"]])


def check(page: Page, expect: Any, book: Book) -> None:
    """What the page says against what the story says should come out."""
    standing = page.locator("#standing")
    if actions := expect.get("actions"):
        classes = standing.locator(".advice").get_attribute("class") or ""
        assert any(f"act-{action}" in classes for action in actions), f"{classes}: {standing.inner_text()[:300]}"
    if carburettors := expect.get("carburettors"):
        first = standing.locator(".carburettors li strong").first.inner_text()
        assert first in {book.name(key) for key in carburettors}
    if kit := expect.get("kit"):
        assert book.kit_name(kit) in standing.locator(".headline").inner_text()
    if kit := expect.get("leading_kit"):
        names = standing.locator(".fit").first.locator(".kit-name").all_inner_texts()
        assert book.kit_name(kit) in names
    if expect.get("contradiction"):
        assert standing.locator(".contradiction").count()
    if expect.get("warning"):
        assert standing.locator(".warning").count()
    if expect.get("mixed"):
        assert "built from two" in standing.inner_text()
    if expect.get("no_kit"):
        assert "no kit" in standing.inner_text()
    if features := expect.get("ask_features"):
        assert page.locator("#ask-question").inner_text() in {book.kinds[key].question for key in features}


def play(story: Story, hands: Any, book: Book) -> None:
    hands.begin()
    address = hands.page.url
    for step in story.steps:
        tell(hands, step, book)
        check(hands.page, step.expect, book)
    if "act-send" in (hands.page.locator("#standing .advice").get_attribute("class") or "") and not story.steps[
        -1
    ].expect.get("contradiction"):
        hands.read_back_and_sell()
        outcome = "sold"
    else:
        action = (hands.page.locator("#standing .advice").get_attribute("class") or "").rpartition("-")[2]
        outcome, why = ENDS.get(action, ENDS["ask"])
        hands.close(outcome, why)
    assert "is closed" in hands.page.locator(".messages").inner_text()
    hands.page.goto(address)
    assert hands.page.get_by_role("button", name="Open it again").is_visible()


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.key)
def test_story_by_keyboard_alone(story: Story, desk: Page, shop: Any) -> None:
    play(story, hands.Keyboard(desk), Book(shop.reference))


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.key)
def test_story_by_touch(story: Story, telephone: Page, shop: Any) -> None:
    play(story, hands.Fingertip(telephone), Book(shop.reference))
