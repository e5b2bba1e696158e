"""What a pack leaves out, and words that nothing explains."""

from __future__ import annotations

from collections.abc import Iterator

from floatbowl.reference.columns import columns_of
from floatbowl.reference.facts import TABLES, Reference
from floatbowl.reference.fault import shown
from floatbowl.reference.finding import Finding, found


def gaps(reference: Reference) -> Iterator[Finding]:
    """All gaps."""
    yield from _about_carburettors(reference)
    yield from _about_kits(reference)
    yield from _about_machines(reference)
    yield from _about_features(reference)
    yield from _about_parts(reference)
    yield from _about_sources(reference)
    yield from _empty_cells(reference)


def _about_carburettors(reference: Reference) -> Iterator[Finding]:
    identified = {mark.carburettor for mark in reference.marks if mark.role == "identifies"}
    fitted = {fit.carburettor for fit in reference.kit_fits}
    mounted = {came.carburettor for came in reference.came_on}
    for row in reference.carburettors:
        key = row.carburettor
        if key not in identified:
            yield found("carburettors", row.line, "no identifying mark", f"{key} has no mark that tells it from others")
        if key not in fitted:
            yield found("carburettors", row.line, "no kit", f"no kit fits {key}")
        if key not in mounted:
            yield found("carburettors", row.line, "no machine", f"{key} came on no machine listed here")


def _about_kits(reference: Reference) -> Iterator[Finding]:
    fits = {fit.kit for fit in reference.kit_fits}
    filled = {content.kit for content in reference.kit_parts}
    for kit in reference.kits:
        if kit.kit not in fits:
            yield found("kits", kit.line, "fits nothing", f"kit {kit.kit} fits no carburettor")
        if reference.kit_parts and kit.kit not in filled:
            yield found("kits", kit.line, "empty kit", f"kit {kit.kit} has no parts listed")


def _about_machines(reference: Reference) -> Iterator[Finding]:
    told = {came.machine for came in reference.came_on}
    for machine in reference.machines:
        if machine.machine not in told:
            says = f"no carburettor is listed as having come on {machine.machine}"
            yield found("machines", machine.line, "no carburettor", says)


def _about_features(reference: Reference) -> Iterator[Finding]:
    kinds = {kind.feature: kind for kind in reference.feature_kinds}
    choices = {name: set(kind.choice_list) for name, kind in kinds.items() if kind.kind == "choice"}
    for kind in reference.feature_kinds:
        if kind.kind == "choice" and len(choices[kind.feature]) < 2:
            says = f"{kind.feature} is a choice with fewer than two choices; part them by |"
            yield found("feature_kinds", kind.line, "no choices", says)
    unknown: set[str] = set()
    for row in reference.features:
        if row.feature not in kinds:
            if row.feature not in unknown:
                yield found("features", row.line, "no kind", f"{row.feature} is not in feature_kinds")
            unknown.add(row.feature)
        elif row.feature in choices and row.value not in choices[row.feature]:
            says = f"{row.carburettor}, {row.feature}: {shown(row.value)} is not among its choices"
            yield found("features", row.line, "no such choice", says)
    for usual in reference.confusions:
        if usual.feature not in kinds:
            yield found("confusions", usual.line, "no kind", f"{usual.feature} is not in feature_kinds")
        for word in (usual.true, usual.said):
            if usual.feature in choices and word not in choices[usual.feature]:
                says = f"{usual.feature}: {shown(word)} is not among its choices"
                yield found("confusions", usual.line, "no such choice", says)


def _about_parts(reference: Reference) -> Iterator[Finding]:
    known = {part.part for part in reference.parts}
    sized = {size.part for size in reference.part_sizes}
    for table in ("part_sizes", "carburettor_parts", "kit_parts"):
        for row in getattr(reference, table):
            if row.part not in known:
                yield found(table, row.line, "no part", f"{row.part} is not in parts")
    in_kits = {content.part for content in reference.kit_parts}
    for part in reference.parts:
        if reference.part_sizes and part.part in in_kits and part.part not in sized:
            says = f"{part.part} ({part.name or part.kind}) is in a kit, but no size of it is recorded"
            yield found("parts", part.line, "no size", says)
    exchanged = known | {kit.kit for kit in reference.kits}
    for swap in reference.replacements:
        if swap.new not in exchanged:
            says = f"{swap.new} replaces {swap.old}, but is neither a part nor a kit"
            yield found("replacements", swap.line, "no part", says)


def _about_sources(reference: Reference) -> Iterator[Finding]:
    if not reference.sources:
        return
    told = {source.source for source in reference.sources}
    for name in TABLES:
        for row in getattr(reference, name):
            if row.source and row.source not in told:
                told.add(row.source)
                yield found(name, row.line, "no source", f"{row.source} is not in sources; told once for all its rows")


def _empty_cells(reference: Reference) -> Iterator[Finding]:
    for name, kind in TABLES.items():
        wanted = [column for column in columns_of(kind) if column.needed and not column.filled]
        for column in wanted:
            for row in getattr(reference, name):
                if getattr(row, column.field) == "":
                    yield found(name, row.line, "empty", f"{column.name} is not told")
