"""A shop of its own for the browser: a new database with the invented shop's pack, served by a process of its own."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from floatbowl.demo.make_pack.whole_pack import PACK
from floatbowl.reference.facts import Reference
from floatbowl.reference.pack import read_pack

# Two workers share two cores: what takes a second alone may take ten beside another.
expect.set_options(timeout=20_000)

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or "/usr/bin/chromium"
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
FLOATBOWL = [sys.executable, "-c", "from floatbowl.cli import main; main()"]
DESK = {"width": 1280, "height": 900}
TELEPHONE = {"width": 390, "height": 844}
#: WCAG 2.2, A and AA, as axe-core calls them.
RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}}


@dataclass(frozen=True)
class Shop:
    """Where the pages are, and what the shop knows."""

    address: str
    reference: Reference


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    database = tmp_path_factory.mktemp("shop") / "shop.sqlite3"
    load = [*FLOATBOWL, "pack", "load", str(PACK), "--database", str(database)]
    subprocess.run(load, check=True, capture_output=True, timeout=120)
    serve = [*FLOATBOWL, "serve", "--database", str(database), "--port", "0"]
    process = subprocess.Popen(serve, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        assert process.stdout
        said = process.stdout.readline()
        found = re.search(r"http://\S+?:\d+", said)
        assert found, f"the shop did not start: {said}"
        yield Shop(found[0], read_pack(PACK))
    finally:
        process.terminate()
        process.wait(20)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield chromium
        chromium.close()


def _page(context: BrowserContext) -> Iterator[Page]:
    """A page on which an error of a script fails the test."""
    page = context.new_page()
    page.set_default_timeout(20_000)
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    context.close()
    assert not errors


@pytest.fixture
def desk(browser: Browser, shop: Shop) -> Iterator[Page]:
    """At the counter: 1280 px, keyboard."""
    yield from _page(browser.new_context(viewport=DESK, base_url=shop.address))  # type: ignore[arg-type]


@pytest.fixture
def telephone(browser: Browser, shop: Shop) -> Iterator[Page]:
    """In the shed: 390 px, touch."""
    telephone = browser.new_context(viewport=TELEPHONE, base_url=shop.address, has_touch=True, is_mobile=True)  # type: ignore[arg-type]
    yield from _page(telephone)


@pytest.fixture
def broken() -> Callable[[Page], list[str]]:
    """What breaks a rule for everybody's use on a page as it stands, one line for each place."""

    def found(page: Page) -> list[str]:
        violations = Axe().run(page, options=RULES).response["violations"]
        return [f"{rule['id']}: {node['html'][:160]}" for rule in violations for node in rule["nodes"]]

    return found
