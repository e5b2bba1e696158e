"""The card that goes to the owner of a job."""

from __future__ import annotations

from django.utils import timezone

from floatbowl.papers.setting_card import Setting, SettingCard, setting_card_pdf
from floatbowl.shop.jobs.identity import name_of
from floatbowl.shop.jobs.papers.filled import NEEDLES, Filled, governs
from floatbowl.shop.jobs.settings_of import in_unit, settings_of


def setting_card(told: Filled) -> bytes:
    """The card that goes to the owner."""
    job = told.job
    level = next((row for row in settings_of(job) if row.quantity == "float level"), None)
    set_level = told.with_unit("build.level")
    day = max(
        (timezone.localdate(entry.at) for entry in told.entries.values()), default=timezone.localdate(job.booked_at)
    )
    card = SettingCard(
        shop_name=told.shop,
        date=day,
        carburettor=name_of(job.carburettor),
        machine=job.machine_text,
        job_number=str(job.pk),
        settings=(*(_setting(told, *needle) for needle in NEEDLES), *_idle_speed(told)),
        float_level=set_level or (in_unit(level.value, level.unit, told.unit) if level else ""),
        float_datum=told.value("build.datum") or (level.datum if level else ""),
        worked_altitude=told.with_unit("on-the-engine.altitude"),
        worked_fuel=told.value("on-the-engine.fuel"),
        worked_temperature=told.with_unit("on-the-engine.temperature"),
        worked_when=_when(told),
        page=told.page,
    )
    return setting_card_pdf(card)


def _setting(told: Filled, name: str, quantity: str, entry: str) -> Setting:
    row = next((row for row in settings_of(told.job) if row.quantity == quantity), None)
    start = f"{row.value} {row.unit}, {row.datum}".rstrip(", ") if row else ""
    fitted = told.value(f"strip-sheet.{entry}") != "not fitted"
    return Setting(
        name=name,
        governs=governs(row.needle if row else "") if fitted else "neither",
        start=start if fitted else "not fitted",
        worked=told.with_unit(f"on-the-engine.{quantity}"),
    )


def _idle_speed(told: Filled) -> tuple[Setting, ...]:
    worked = told.with_unit("on-the-engine.idle speed")
    return (Setting(name="Idle speed", worked=worked, start="the machine's own"),) if worked else ()


def _when(told: Filled) -> str:
    worked = told.entries.get("on-the-engine.main turns") or told.entries.get("on-the-engine.idle turns")
    return f"{timezone.localdate(worked.at):%d.%m.%Y}" if worked else ""
