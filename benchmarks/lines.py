"""Enquiries as lines of the enquiries format, version 1."""

from __future__ import annotations

import json
from typing import Any

from floatbowl.reference.observed import Enquiry, Look, Reading


def enquiry_line(enquiry: Enquiry) -> str:
    """One enquiry as one line of JSON.

    >>> enquiry_line(Enquiry("E1", readings=(Reading("K3?"),)))
    '{"enquiry": "E1", "readings": [{"text": "K3?", "via": "seen"}]}'
    """
    row: dict[str, Any] = {
        "enquiry": enquiry.enquiry,
        "machine": enquiry.machine,
        "serial": enquiry.serial,
        "year": enquiry.year,
        "readings": [_reading(r) for r in enquiry.readings],
        "looks": [_look(look) for look in enquiry.looks],
    }
    return json.dumps({k: v for k, v in row.items() if v not in ("", None, [])})


def _reading(reading: Reading) -> dict[str, Any]:
    row: dict[str, Any] = {"text": reading.text, "part": reading.part, "form": reading.form, "via": reading.via}
    if reading.cells:
        row["cells"] = [dict(cell) for cell in reading.cells]
    return {k: v for k, v in row.items() if v}


def _look(look: Look) -> dict[str, Any]:
    row: dict[str, Any] = {"feature": look.feature, "value": look.value, "via": look.via}
    if look.coached:
        row["coached"] = True
    return row | {k: v for k, v in (("tool", look.tool), ("group", look.group)) if v}
