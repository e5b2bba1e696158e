"""The shop's own rates, where ``floatbowl refit`` wrote some beside the database."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from floatbowl.shop.places import database_path, model_path

if TYPE_CHECKING:
    from floatbowl.identify.assumptions import Assumptions
    from floatbowl.identify.wear import ErrorModel

_log = logging.getLogger(__name__)


def own_rates() -> tuple[ErrorModel | None, Assumptions | None]:
    """The shop's error model and assumptions; none where there is no file, or a spoilt one (logged)."""
    path = model_path(database_path())
    if not path.is_file():
        return None, None
    from floatbowl.identify.refit import model_from_json_text

    try:
        return model_from_json_text(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as fault:
        _log.error("%s cannot be used (%s); the rates that come with floatbowl are used instead.", path, fault)
        return None, None
