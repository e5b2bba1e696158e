"""Two pairs of hands for the counter page: one that has only a keyboard, one that has only a fingertip."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from typing import Any, Protocol

from playwright.sync_api import Locator, Page

from floatbowl.reference.facts import FeatureKind

FORMS = {"": "not said", "stamped": "punched in", "cast": "raised", "printed": "printed"}
MOST_TABS = 150
FEWEST_WORDS = 5
_callers = count(1)


def a_caller() -> str:
    """A name nobody rang under before, so that no earlier sale speaks for anything."""
    return f"Caller {next(_callers)}"


class Hands(Protocol):
    """What a counter person does with an enquiry."""

    page: Page

    def begin(self) -> None: ...
    def machine(self, name: str, serial: str) -> None: ...
    def want(self, level: str, fuel: str) -> None: ...
    def reading(self, row: dict[str, Any]) -> None: ...
    def look(self, row: dict[str, Any], kind: FeatureKind) -> None: ...
    def read_back_and_sell(self) -> None: ...
    def close(self, outcome: str, why: str) -> None: ...


@contextmanager
def renewed(page: Page, part: str) -> Iterator[None]:
    """Wait until the answer to what is done inside has come and stands in the page."""
    with page.expect_response(lambda response: part in response.url):
        yield
    page.wait_for_function("() => !document.querySelector('.htmx-request')")


def asks_for(page: Page, kind: FeatureKind) -> bool:
    field = page.locator("#ask input[name=feature]").first
    return bool(field.count()) and field.input_value() == kind.feature


class Keyboard:
    """Touches nothing but keys."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.press = page.keyboard.press
        self.type = page.keyboard.type

    def tab_to(self, target: Locator) -> None:
        """Go on with Tab until the focus is there, as somebody without a mouse would."""
        wanted = target.element_handle()
        for _ in range(MOST_TABS):
            if self.page.evaluate("wanted => document.activeElement === wanted", wanted):
                return
            self.press("Tab")
        raise AssertionError(f"Tab never reaches {target}")

    def choose_radio(self, name: str, value: str) -> None:
        group = self.page.locator(f"#reading-form input[name={name}]")
        self.tab_to(self.page.locator(f"#reading-form input[name={name}]:checked"))
        for _ in range(group.count()):
            if self.page.evaluate("document.activeElement.value") == value:
                return
            self.press("ArrowRight")
        raise AssertionError(f"no {name} called {value}")

    def choose_option(self, value: str) -> None:
        """Type the beginning of an option of the list that has the focus."""
        self.type(value)
        said = self.page.evaluate("document.activeElement.selectedOptions[0].textContent")
        assert said == value, f"wanted {value}, got {said}"

    def take_from_box(self, words: str, text: str) -> None:
        self.type(words)
        self.page.locator(".combo ul:not([hidden]) [role=option]", has_text=text).first.wait_for()
        chosen = self.page.locator(".combo ul:not([hidden]) [aria-selected=true]")
        for _ in range(20):
            self.press("ArrowDown")
            # A list that came meanwhile may hold another choice of rows: then nothing is chosen yet.
            if chosen.all_inner_texts() == [text]:
                self.press("Enter")
                return
        raise AssertionError(f"arrow keys never reach {text}")

    def begin(self) -> None:
        self.page.goto("/counter/")
        self.tab_to(self.page.locator("#start-caller"))
        self.type(a_caller())
        self.press("Alt+b")
        self.page.wait_for_url("**/counter/*/1/")

    def machine(self, name: str, serial: str) -> None:
        self.press("Alt+m")
        with renewed(self.page, "/machine/"):
            self.take_from_box(name, name)
        self.page.locator("#machine-state", has_text=name).wait_for()
        if serial:
            self.press("Tab")
            with renewed(self.page, "/machine/"):
                self.type(serial)
                self.press("Tab")

    def want(self, level: str, fuel: str) -> None:
        self.press("Alt+w")
        with renewed(self.page, "/caller/"):
            self.choose_option(level)
        self.press("Tab")
        with renewed(self.page, "/caller/"):
            self.choose_option(fuel)

    def reading(self, row: dict[str, Any]) -> None:
        self.press("Alt+n")
        self.type(row["text"])
        self._about(row)
        with renewed(self.page, "/reading/"):
            self.press("Enter")

    def _about(self, row: dict[str, Any]) -> None:
        self.choose_radio("part", row.get("part", ""))
        self.choose_radio("made", row.get("form", ""))
        self.choose_radio("via", row.get("via", "seen"))
        if row.get("via") == "photo":
            self.press("Tab")
            self.press("Control+a")
            self.type(row.get("group", ""))

    def look(self, row: dict[str, Any], kind: FeatureKind) -> None:
        if not asks_for(self.page, kind):
            self.press("Alt+l")
            with renewed(self.page, "/ask/"):
                self.take_from_box(" ".join(kind.question.split()[:FEWEST_WORDS]), kind.question)
        self.press("Alt+q")
        self._how(row)
        self.press("Alt+q")
        if kind.kind == "measure":
            self.type(f"{row['value']:g}")
            self.press("Tab")
            self.choose_option(row["tool"])
            self.press("Tab")
            with renewed(self.page, "/look/"):
                self.press("Enter")
            return
        answer = self.page.locator(f"#ask .answer[value='{row['value']}']")
        with renewed(self.page, "/look/"):
            self.press(answer.get_attribute("data-key") or "")

    def _how(self, row: dict[str, Any]) -> None:
        tick = self.page.locator("#ask input[name=coached]")
        if tick.is_checked() != row.get("coached", False):
            self.tab_to(tick)
            self.press("Space")
        via = self.page.locator("#ask select[name=via]")
        if via.input_value() != row.get("via", "seen"):
            self.tab_to(via)
            self.choose_option(via.locator(f"option[value={row.get('via', 'seen')}]").inner_text())
        if row.get("via") == "photo":
            self.tab_to(self.page.locator("#ask-group"))
            self.press("Control+a")
            self.type(row.get("group", ""))

    def read_back_and_sell(self) -> None:
        self.press("Alt+r")
        self.page.wait_for_url("**/read-back/**")
        self.press("Alt+y")
        self.press("Enter")
        self.page.get_by_text("Packing slip").wait_for()
        self.press("Alt+s")
        self.page.wait_for_url("**/counter/")

    def close(self, outcome: str, why: str) -> None:
        self.press("Alt+o")
        outcomes = self.page.locator("#close input[name=outcome]")
        for _ in range(outcomes.count()):
            self.press("Space")
            if self.page.evaluate("document.activeElement.value") == outcome:
                break
            self.press("ArrowRight")
        self.press("Tab")
        self.type(why)
        self.press("Enter")
        self.page.wait_for_url("**/counter/")


class Fingertip:
    """Taps, and types on the telephone's own keyboard."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def fill(self, field: Locator, text: str) -> None:
        field.tap()
        field.fill("")
        field.press_sequentially(text)

    def tap_chip(self, name: str, value: str) -> None:
        chip = self.page.locator(f"#reading-form label.chip:has(input[name={name}][value='{value}'])")
        chip.tap()

    def begin(self) -> None:
        self.page.goto("/counter/")
        self.fill(self.page.locator("#start-caller"), a_caller())
        self.page.get_by_role("button", name="Begin").tap()
        self.page.wait_for_url("**/counter/*/1/")

    def machine(self, name: str, serial: str) -> None:
        self.fill(self.page.locator("#machine-text"), name)
        with renewed(self.page, "/machine/"):
            self.page.locator(".combo").get_by_role("option", name=name, exact=True).tap()
        self.page.locator("#machine-state", has_text=name).wait_for()
        if serial:
            with renewed(self.page, "/machine/"):
                self.fill(self.page.locator("#machine-serial"), serial)
                self.page.locator("#machine-title").tap()

    def want(self, level: str, fuel: str) -> None:
        # A telephone shows its own wheel for such a list, outside the page.
        with renewed(self.page, "/caller/"):
            self.page.locator("#want-level").select_option(level)
        with renewed(self.page, "/caller/"):
            self.page.locator("#want-fuel").select_option(fuel)

    def reading(self, row: dict[str, Any]) -> None:
        self.fill(self.page.locator("#reading-text"), row["text"])
        self._about(row)
        with renewed(self.page, "/reading/"):
            self.page.locator("#reading-add").tap()

    def _about(self, row: dict[str, Any]) -> None:
        self.tap_chip("part", row.get("part", ""))
        self.tap_chip("made", row.get("form", ""))
        self.tap_chip("via", row.get("via", "seen"))
        if row.get("via") == "photo":
            self.fill(self.page.locator("#reading-group"), row.get("group", ""))

    def look(self, row: dict[str, Any], kind: FeatureKind) -> None:
        if not asks_for(self.page, kind):
            if not self.page.locator("#other-looks").get_attribute("open") is not None:
                self.page.locator("#other-looks summary").tap()
            self.fill(self.page.locator("#any-look"), " ".join(kind.question.split()[:FEWEST_WORDS]))
            with renewed(self.page, "/ask/"):
                self.page.locator(".combo").get_by_role("option", name=kind.question, exact=True).tap()
        tick = self.page.locator("#ask input[name=coached]")
        if tick.is_checked() != row.get("coached", False):
            tick.tap()
        self.page.locator("#ask select[name=via]").select_option(row.get("via", "seen"))
        if row.get("via") == "photo":
            self.fill(self.page.locator("#ask-group"), row.get("group", ""))
        if kind.kind == "measure":
            self.fill(self.page.locator("#ask-value"), f"{row['value']:g}")
            self.page.locator("#ask-tool").select_option(row["tool"])
            with renewed(self.page, "/look/"):
                self.page.locator("#ask").get_by_role("button", name="Keep").tap()
            return
        with renewed(self.page, "/look/"):
            self.page.locator(f"#ask .answer[value='{row['value']}']").tap()

    def read_back_and_sell(self) -> None:
        self.page.get_by_role("link", name="Read back").first.tap()
        self.page.wait_for_url("**/read-back/**")
        self.page.get_by_text("I read it out").tap()
        self.page.get_by_role("button", name="Confirm").tap()
        self.page.get_by_text("Packing slip").wait_for()
        self.page.get_by_role("button", name="Sold").tap()
        self.page.wait_for_url("**/counter/")

    def close(self, outcome: str, why: str) -> None:
        self.page.locator(f"#close label.chip:has(input[value={outcome}])").tap()
        self.fill(self.page.locator("#why"), why)
        self.page.get_by_role("button", name="Close the call").tap()
        self.page.wait_for_url("**/counter/")
