"""From tables of text to one reference, with every fault of every table told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from floatbowl.reference.facts import OPTIONAL_TABLES, TABLES, Costs, Reference
from floatbowl.reference.fault import FaultList
from floatbowl.reference.links import find_link_faults
from floatbowl.reference.rows import Table, facts_of


def reference_of(tables: Mapping[str, Table], faults: FaultList, *, currency: str, costs: Costs) -> Reference:
    """A reference from tables of text; PackFaults when any fault was noted here or before."""
    rows: dict[str, tuple[Any, ...]] = {
        name: facts_of(kind, tables[name], faults) if name in tables else () for name, kind in TABLES.items()
    }
    # Unknown keys are only worth telling when the table they should be in could be read.
    broken = {fault.file for fault in faults.faults if fault.line <= 1}
    sound = {name: table.file for name, table in tables.items() if table.file not in broken}
    if sound.keys() == tables.keys() and TABLES.keys() - OPTIONAL_TABLES <= tables.keys():
        find_link_faults(rows, {name: table.file for name, table in tables.items()}, faults)
    faults.stop_if_any()
    return Reference(**rows, currency=currency, costs=costs)
