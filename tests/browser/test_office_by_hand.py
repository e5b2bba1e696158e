"""The office in a real browser: by keyboard at the desk, by touch on a telephone, without scripts, and two at once."""

from __future__ import annotations

import importlib.util
import re
import threading
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable
from http.cookiejar import CookieJar
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser

_spec = importlib.util.spec_from_file_location("notebook_checks", Path(__file__).with_name("test_notebook_by_hand.py"))
assert _spec
assert _spec.loader
checks = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(checks)


def test_from_a_draft_to_the_money_by_keyboard(desk: Page, broken: Callable[[Page], list[str]]) -> None:
    desk.goto("/office/new/")
    desk.get_by_label("For whom").focus()
    desk.keyboard.type("Corwin Hollis")
    desk.get_by_role("button", name="Add an empty line").focus()
    desk.keyboard.press("Enter")
    what = desk.get_by_label("What", exact=True)
    expect(what).to_be_focused()
    desk.keyboard.type("Bush, fitted")
    desk.keyboard.press("Tab")
    desk.keyboard.press("Tab")
    desk.keyboard.type("12.5")
    expect(desk.locator("#totals")).to_contain_text("In all")
    expect(desk.locator("#totals .whole")).to_contain_text("12.50 EUR")
    expect(desk.locator("#amount-0")).to_have_text("12.50 EUR")
    desk.keyboard.press("Enter")  # Works it out anew; adds, removes and makes nothing.
    desk.wait_for_load_state()
    expect(desk.get_by_label("What", exact=True)).to_have_value("Bush, fitted")
    expect(desk.get_by_label("For whom")).to_have_value("Corwin Hollis")
    assert broken(desk) == []
    desk.get_by_label("For whom").press_sequentially(" ")
    desk.goto("/office/new/")
    expect(desk.locator("#came-back")).to_be_visible()
    expect(desk.get_by_label("What", exact=True)).to_have_value("Bush, fitted")
    expect(desk.get_by_label("For whom")).to_have_value(re.compile("Corwin Hollis"))
    expect(desk.locator("#totals .whole")).to_contain_text("12.50 EUR")
    desk.get_by_label("Add a kit or loose part").focus()
    desk.keyboard.type("bowl gasket ring")
    desk.locator("#found button").first.focus()
    desk.keyboard.press("Enter")
    expect(desk.get_by_label("What", exact=True)).to_have_count(2)
    desk.get_by_role("button", name="Make the offer").focus()
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", level=1)).to_contain_text("Offer O-")
    assert broken(desk) == []
    offer = desk.url
    desk.goto("/office/new/")
    expect(desk.locator("#came-back")).to_be_hidden()
    expect(desk.get_by_label("For whom")).to_have_value("")
    desk.goto(offer)
    for button in ("Accepted", "Make the invoice"):
        desk.get_by_role("button", name=button).focus()
        desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", level=1)).to_contain_text("Invoice I-")
    assert broken(desk) == []
    owed = desk.get_by_label("Sum in EUR").input_value()
    desk.get_by_role("radio", name="Cash").focus()
    desk.keyboard.press("Space")
    desk.keyboard.press("Enter")
    expect(desk.locator("#state")).to_contain_text("Settled")
    expect(desk.locator("#main")).to_contain_text(f"{owed} EUR by cash")


def test_every_page_fits_a_telephone(telephone: Page, broken: Callable[[Page], list[str]]) -> None:
    for address in ("/office/", "/office/new/", "/office/rules/"):
        telephone.goto(address)
        if address == "/office/new/":
            telephone.get_by_role("button", name="Add a core deposit").tap()
            expect(telephone.get_by_label("What", exact=True)).to_have_count(1)
        assert telephone.evaluate("document.documentElement.scrollWidth") <= 390, address
        for wrong in (checks.TOO_SMALL, checks.NAMELESS, checks.TWICE, checks.DANGLING):
            assert telephone.evaluate(wrong) == [], address
        assert broken(telephone) == [], address


def test_an_offer_is_made_without_scripts(desk: Page) -> None:
    context = desk.context.browser.new_context(java_script_enabled=False)  # type: ignore[union-attr]
    bare = context.new_page()
    desk.goto("/office/new/")
    bare.goto(desk.url)
    bare.get_by_label("For whom").fill("Dessa Wainlow")
    bare.get_by_role("button", name="Add an empty line").click()
    assert bare.get_by_label("For whom").input_value() == "Dessa Wainlow"
    bare.get_by_label("What", exact=True).fill("Bush")
    bare.get_by_label("Each, EUR").fill("4,500")
    bare.get_by_role("button", name="Make the offer").click()
    assert "may mean 4500 or 4.500" in bare.locator("#line-0").inner_text()
    assert bare.get_by_label("Each, EUR").input_value() == "4,500"
    bare.get_by_label("Each, EUR").fill("4.5")
    bare.get_by_role("button", name="Make the offer").click()
    assert "Dessa Wainlow" in bare.locator("#main").inner_text()
    context.close()


class Sender:
    """A browser that only sends forms, so that several can send at the same moment."""

    def __init__(self, base: str) -> None:
        self.base = base
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

    def token(self, address: str) -> str:
        page = self.opener.open(self.base + address, timeout=60).read().decode()
        found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
        assert found
        return found[1]

    def send(self, address: str, token: str, **typed: str) -> tuple[int, str]:
        told = urllib.parse.urlencode({"csrfmiddlewaretoken": token, **typed}).encode()
        asked = urllib.request.Request(self.base + address, told, {"Referer": self.base + address})
        try:
            answer = self.opener.open(asked, timeout=60)
        except urllib.error.HTTPError as refused:
            return refused.code, refused.read().decode()
        return answer.status, answer.url


def _at_once(base: str, addresses: list[str], **typed: str) -> list[tuple[int, str]]:
    """A form sent to each of the addresses, by as many browsers, at the same moment."""
    gate, answers = threading.Barrier(len(addresses)), []

    def send(address: str, sender: Sender, token: str) -> None:
        gate.wait()
        answers.append(sender.send(address, token, **typed))

    senders = [(address, Sender(base)) for address in addresses]
    told = [(address, sender, sender.token("/office/new/")) for address, sender in senders]
    threads = [threading.Thread(target=send, args=one) for one in told]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def test_what_is_sent_by_several_at_once_is_done_once(desk: Page) -> None:
    desk.goto("/office/new/")
    base = desk.url.removesuffix("/office/new/")
    typed = {"to": "Orrin Tasker", "return_rule": "ask us", "valid_days": "30", "sent": "e" * 32, "do": "make"}
    line = {"kind-0": "other", "says-0": "Bush", "quantity-0": "1", "price-0": "10"}
    made = _at_once(base, ["/office/new/"] * 4, **typed, **line)
    assert {code for code, _ in made} == {200}, made
    assert len({url for _, url in made}) == 1
    offer = made[0][1].removeprefix(base)
    assert {code for code, _ in _at_once(base, [f"{offer}accept/"] * 3)} == {200}
    invoices = _at_once(base, [f"{offer}invoice/"] * 3)
    assert {code for code, _ in invoices} == {200}
    assert len({url for _, url in invoices}) == 1
    invoice = invoices[0][1].removeprefix(base)
    paid = _at_once(base, [f"{invoice}pay/"] * 4, amount="4", how="cash", sent="f" * 32)
    assert {code for code, _ in paid} == {200}
    credited = _at_once(base, [f"{invoice}credit/"] * 3, reason="a slip", what="whole", sent="d" * 32)
    assert {code for code, _ in credited} == {200}, credited
    desk.goto(invoice)
    expect(desk.locator("#state")).to_contain_text("4.00 EUR to pay back")


def test_the_last_one_is_sold_to_one_of_two_who_say_yes_at_once(desk: Page) -> None:
    desk.goto("/office/new/")
    base = desk.url.removesuffix("/office/new/")
    item = "bowl-gasket-b-star4"
    sender = Sender(base)
    counted = sender.send(f"/shelf/do/count/part/{item}/", sender.token("/office/new/"), pieces="1", place="A1")
    assert counted[0] == 200
    offers = []
    for name in ("Anselm Pickard", "Dessa Wainlow"):
        typed = {"to": name, "return_rule": "ask us", "valid_days": "30", "do": "make", "kind-0": "part"}
        line = {
            "says-0": "Bowl gasket",
            "quantity-0": "1",
            "price-0": "2",
            "item-0": f"part {item}",
            "off_shelf-0": "on",
        }
        code, url = sender.send("/office/new/", sender.token("/office/new/"), **typed, **line)
        assert code == 200, url
        offers.append(url.removeprefix(base))
    answers = _at_once(base, [f"{offer}accept/" for offer in offers])
    assert sorted(code for code, _ in answers) == [200, 409]
    told = next(page for code, page in answers if code == 409)
    assert "1 were wanted, but 0 of" in told
    assert "Somebody else may have the last of it" in told


def test_below_the_lowest_price_the_reason_is_asked_and_nothing_typed_is_lost(
    desk: Page, broken: Callable[[Page], list[str]]
) -> None:
    desk.goto("/shelf/kit/T-25F/")
    desk.get_by_text("Lowest price", exact=True).click()
    desk.get_by_label("Not offered below").fill("14.00")
    desk.locator("#do-floor button").click()
    desk.goto("/office/new/")
    desk.get_by_label("For whom").fill("Corwin Hollis")
    desk.get_by_label("Add a kit or loose part").fill("T-25F")
    desk.locator("#found button").first.click()
    desk.locator("#price-0").fill("9.50")
    desk.get_by_label("How sure we are").fill("It fits.")
    desk.get_by_role("button", name="Make the offer").click()
    why = desk.get_by_label("Why it goes out below the lowest price")
    expect(desk.locator("#why_low-0-wrong")).to_contain_text(
        "The lowest price is 14.00 EUR; this is 9.50 EUR. Write why."
    )
    expect(why).to_be_focused()
    expect(desk.locator("#price-0")).to_have_value("9.50")
    assert broken(desk) == []
    why.fill("the box is torn")
    desk.get_by_role("button", name="Make the offer").click()
    expect(desk.locator("main")).to_contain_text("Below the lowest price: the box is torn")
