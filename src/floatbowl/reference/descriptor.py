"""The pack's ``datapackage.json``: version, currency and costs, and a Data Package description of every table."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import fields
from typing import Any, Final

from floatbowl.reference.columns import Column, columns_of
from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES, Costs, Reference, key_fields
from floatbowl.reference.fault import FaultList, refusal, shown
from floatbowl.reference.links import LINKS, THINGS
from floatbowl.reference.rows import decoded

DESCRIPTOR: Final = "datapackage.json"
VERSION: Final = 1
PROFILE: Final = "https://datapackage.org/profiles/2.0/datapackage.json"


def parse_descriptor(data: bytes) -> dict[str, Any]:
    """The descriptor as a mapping; PackFaults when it is not JSON or not of version 1."""
    try:
        told = json.loads(decoded(DESCRIPTOR, data))
    except (json.JSONDecodeError, RecursionError) as problem:
        line = getattr(problem, "lineno", 0)
        says = getattr(problem, "msg", "brackets nested too deep")
        raise refusal(DESCRIPTOR, f"is not JSON ({says}); correct it", line=line) from None
    if not isinstance(told, dict):
        raise refusal(DESCRIPTOR, 'is not a JSON object; write {"floatbowl_pack": 1, ...}')
    refuse_other_version(DESCRIPTOR, told.get("floatbowl_pack"))
    return told


def refuse_other_version(file: str, version: object) -> None:
    """PackFaults unless the version is the number this program reads."""
    if version is None:
        raise refusal(file, f"is missing; write {VERSION}", column="floatbowl_pack")
    if isinstance(version, bool) or not isinstance(version, (int, float)) or version != VERSION:
        says = f"is {shown(str(version))}, but this program reads version {VERSION}; save the pack as version {VERSION}"
        raise refusal(file, says, column="floatbowl_pack")


def costs_of(file: str, told: object, faults: FaultList) -> Costs:
    """The costs (in the shop's currency); what is not told stays at its default."""
    if told is None:
        return Costs()
    if not isinstance(told, Mapping):
        faults.add(file, 0, "costs", 'is not an object; write {"wrong_kit": 25, "minute": 0.6, "bench": 15}')
        return Costs()
    good: dict[str, float] = {}
    for name in (f.name for f in fields(Costs)):
        value = told.get(name)
        if value is None:
            continue
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 <= value < math.inf:
            faults.add(file, 0, f"costs.{name}", f"{shown(str(value))} is not a sum of money; write a number from 0")
        else:
            good[name] = float(value)
    return Costs(**good)


def currency_of(file: str, told: object, faults: FaultList) -> str:
    """The currency's name or sign as the shop writes it."""
    if told is None or isinstance(told, str):
        return told or ""
    faults.add(file, 0, "currency", f"{shown(str(told))} is not text; write its name in quotation marks")
    return ""


def table_paths(descriptor: Mapping[str, Any], faults: FaultList) -> dict[str, str]:
    """Table to its file's path inside the pack: the descriptor's, else the table's name and ``.csv``."""
    paths = {name: f"{name}.csv" for name in TABLES}
    resources = descriptor.get("resources", [])
    for resource in resources if isinstance(resources, list) else []:
        name = resource.get("name") if isinstance(resource, dict) else None
        if name not in paths or "path" not in resource:
            continue
        path = resource["path"]
        if not isinstance(path, str) or not stays_inside(path):
            says = f"{name}: {shown(str(path))} is not a file of this pack; write a name without .. or a leading /"
            faults.add(DESCRIPTOR, 0, "resources", says)
        else:
            paths[name] = path
    return paths


def stays_inside(path: str) -> bool:
    """Whether a path stays below the folder it starts from, on every system."""
    steps = path.split("/")
    return bool(path) and not any(sign in path for sign in "\\:\0") and not any(s in ("", ".", "..") for s in steps)


def describe(reference: Reference, extras: Mapping[str, list[str]]) -> str:
    """The descriptor of a pack to be written; ``extras`` are the shop's own columns of each table."""
    told = {
        "$schema": PROFILE,
        "name": "floatbowl-pack",
        "floatbowl_pack": VERSION,
        "currency": reference.currency,
        "costs": {f.name: getattr(reference.costs, f.name) for f in fields(Costs)},
        "resources": [_resource(name, kind, extras[name]) for name, kind in TABLES.items()],
    }
    return json.dumps(told, ensure_ascii=False, indent=1) + "\n"


def _resource(name: str, kind: type[Fact], extras: list[str]) -> dict[str, Any]:
    schema: dict[str, Any] = {"fields": [_field(column) for column in columns_of(kind)]}
    schema["fields"] += [{"name": extra, "type": "string"} for extra in extras]
    if name in THINGS:
        schema["primaryKey"] = list(key_fields(kind))
    links = LINKS.get(name, {})
    if links:
        schema["foreignKeys"] = [
            {"fields": [column], "reference": {"resource": target, "fields": list(key_fields(TABLES[target]))}}
            for column, target in links.items()
        ]
    return {
        "name": name,
        "type": "table",
        "path": f"{name}.csv",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": schema,
    }


def _field(column: Column) -> dict[str, Any]:
    kinds = {"text": "string", "float": "number", "int": "integer"}
    limits: dict[str, Any] = {"required": True} if column.filled else {}
    if column.words:
        limits["enum"] = list(column.words)
    if column.low is not None:
        limits["minimum"] = column.low
    if column.high is not None:
        limits["maximum"] = column.high
    told: dict[str, Any] = {"name": column.name, "type": kinds[column.sort]}
    return told | ({"constraints": limits} if limits else {})
