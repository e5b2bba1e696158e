"""The setting card for the owner."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from floatbowl.papers.paper import Page
from floatbowl.papers.setting_card import NO_DATUM, PRE_CHECKS, Setting, SettingCard, setting_card_pdf

Words = Callable[[bytes], str]
CARD = SettingCard(
    shop_name="Nettlebeck Carburettor Room",
    date=date(2026, 12, 10),
    carburettor="Tarnsyke K36/118",
    machine="Drumlow Lowfold",
    job_number="J-0117",
    settings=(
        Setting(name="Main needle", governs="fuel", start="1 1/2 turns out", worked="1 3/4 turns out"),
        Setting(name="Idle needle", governs="air", start="1 turn out"),
        Setting(name="Idle speed screw", start="2 turns after it touches", note="count from touch"),
    ),
    float_level="1 5/32 in",
    float_datum="lid inverted, gasket off, to the near edge",
    worked_altitude="210 m",
    worked_fuel="petrol, E5",
    worked_temperature="8 °C",
    worked_when="12 December 2026",
    call_us="Ring us on weekdays, 8 to 3.",
)


def test_all_that_is_known_stands_on_it(words: Words) -> None:
    text = words(setting_card_pdf(CARD))
    for want in (
        "Tarnsyke K36/118", "Drumlow Lowfold", "J-0117", "10 December 2026", "1 1/2 turns out", "1 3/4 turns out",
        "1 turn out", "2 turns after it touches", "count from touch", "1 5/32 in", CARD.float_datum, "210 m",
        "petrol, E5", "8 °C", "12 December 2026", CARD.call_us,
    ):  # fmt: skip
        assert want in text


def test_directions_are_words_for_needles_only(words: Words) -> None:
    text = words(setting_card_pdf(CARD))
    assert text.count("needle for AIR: out is leaner, in is richer") == 1
    assert text.count("needle for FUEL: out is richer, in is leaner") == 1
    assert "no mixture needle" not in text


def test_a_needle_nobody_looked_at_is_not_guessed(words: Words) -> None:
    text = words(setting_card_pdf(replace(CARD, settings=(Setting(name="Idle needle", governs="", start="1 turn"),))))
    assert "find out before you turn it" in text
    assert "richer" not in text


def test_a_level_without_its_datum_is_called_worthless(words: Words) -> None:
    assert NO_DATUM in words(setting_card_pdf(replace(CARD, float_datum="")))
    assert NO_DATUM not in words(setting_card_pdf(CARD))


def test_what_to_check_first_comes_with_its_cautions(squeezed: Words) -> None:
    text = squeezed(setting_card_pdf(CARD))
    for check in PRE_CHECKS:
        assert re.sub(r"\s", "", check.says) in text
        for caution in check.cautions:
            assert "Takecare:" + re.sub(r"\s", "", caution.says + caution.rule) in text


def test_missing_values_are_said_to_be_missing(words: Words) -> None:
    text = words(setting_card_pdf(SettingCard(shop_name="", date=date(2026, 1, 1), checks=())))
    for want in ("Shop not named", "Carburettor not named", "No settings are on record", "altitude: not recorded",
                 "Ask us what to check first", "Ask the shop before you turn"):  # fmt: skip
        assert want in text


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_an_ordinary_card_is_one_page(page: Page, pages: Callable[[bytes], list[str]]) -> None:
    (only,) = pages(setting_card_pdf(replace(CARD, page=page)))
    assert "page 1 of 1" in only


def test_seventy_settings_repeat_their_heads(pages: Callable[[bytes], list[str]]) -> None:
    settings = tuple(Setting(name=f"screw {n}.", start=f"{n}.5 turns") for n in range(70))
    printed = pages(setting_card_pdf(replace(CARD, settings=settings)))
    with_rows = [page for page in printed if re.search(r"screw \d", page)]
    assert len(with_rows) > 1
    assert all("Start with" in page for page in with_rows)
    assert all(sum(f"screw {n}." in page and f"{n}.5 turns" in page for page in printed) == 1 for n in range(70))
