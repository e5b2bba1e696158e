"""The shop's own name, address and tax number, as they stand at the head of its papers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.conf import settings

from floatbowl.shop.models.office import OfficeSettings

UNNAMED = "The carburettor shop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """What stands at the head of a paper."""

    name: str
    address: str = ""
    tax_number: str = ""

    @property
    def on_paper(self) -> dict[str, Any]:
        """The same by the names that every paper has for them."""
        return {"shop_name": self.name, "shop_address": self.address, "tax_number": self.tax_number}


def shop_name() -> str:
    """The shop's name: the one set in the office, else the one it was started with."""
    named = OfficeSettings.objects.filter(pk=1).values_list("shop_name", flat=True).first()
    return named or getattr(settings, "SHOP_NAME", "") or UNNAMED


def letterhead() -> Letterhead:
    """The head of a paper made today."""
    own = OfficeSettings.objects.filter(pk=1).first()
    return Letterhead(name=shop_name(), address=own.address if own else "", tax_number=own.tax_number if own else "")
