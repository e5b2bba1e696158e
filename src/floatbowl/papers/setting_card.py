"""The setting card: goes to the owner with the carburettor and says how to start, what worked, what to check first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

from floatbowl.papers.cautions import (
    BACKFIRE,
    FUEL,
    FUEL_FLOW,
    GOVERNOR,
    LEAK,
    RUNNING_INDOORS,
    SPARK,
    TURNING_BY_HAND,
)
from floatbowl.papers.needles import Governs, direction
from floatbowl.papers.paper import Caution, Page, Step, as_data, printed, with_own

#: Nearly half of what is blamed on a carburettor is not the carburettor (the shop's own estimate). The figures: spark
#: and flow from an old-tractor forum ("Is it the coil?"), the elbow is left out for its fire risk, the rest common
#: practice from memory.
PRE_CHECKS: Final = (
    Step(
        "Fuel: tap full open, does a steady stream run from the drain? A US pint (473 ml) in under 2 minutes. "
        "Try it with the tank cap on, then off: faster with the cap off means the cap does not breathe.",
        (FUEL_FLOW,),
    ),
    Step("Spark: does it jump 1/4 in (6 mm) in open air, also when the engine is hot?", (SPARK,)),
    Step("Air: is the cleaner clean, its oil fresh, the hose open, no nest in the pipe?"),
    Step("Air leaks: are the manifold and the carburettor flange tight, their gaskets whole?"),
    Step("Compression: does every cylinder push about alike when you turn it over by hand?", (TURNING_BY_HAND,)),
    Step("Governor rod, engine stopped: does it move freely, without lost motion?"),
)
#: Always printed on a card.
CAUTIONS: Final = (LEAK, FUEL, RUNNING_INDOORS, GOVERNOR, BACKFIRE)
NO_DATUM: Final = "no datum is on record: a level without one is worthless, so do not set by this figure; ask us"


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One thing to set: where to start and what worked. ``governs`` says what a needle closes and so its direction."""

    name: str
    governs: Governs = "neither"
    start: str = ""
    worked: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingCard:
    """All that the card says. Empty text is "not known" and is said to be so."""

    shop_name: str
    date: date
    carburettor: str = ""
    machine: str = ""
    job_number: str = ""
    settings: tuple[Setting, ...] = ()
    float_level: str = ""
    float_datum: str = ""
    worked_altitude: str = ""
    worked_fuel: str = ""
    worked_temperature: str = ""
    worked_when: str = ""
    checks: tuple[Step, ...] = PRE_CHECKS
    call_us: str = ""
    #: Besides the card's own and those of its checks.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def setting_card_pdf(card: SettingCard) -> bytes:
    """The card as a PDF; the same card gives the same bytes.

    Raises ``ValueError`` for an unknown page size, or a needle for something else than fuel, air or neither.
    """
    return printed("setting_card.typ", _as_data(card), card.date)


def _as_data(card: SettingCard) -> dict[str, Any]:
    data = as_data(replace(card, cautions=with_own(CAUTIONS, card.cautions)))
    for row, setting in zip(data["settings"], card.settings, strict=True):
        row["direction"] = direction(setting.governs)
    return data | {"no_datum": NO_DATUM}
