"""Checking a pack: every gap and every contradiction, with its file and line."""

from __future__ import annotations

from floatbowl.reference.disagree import contradictions
from floatbowl.reference.facts import TABLES, Reference
from floatbowl.reference.finding import Finding
from floatbowl.reference.gaps import gaps
from floatbowl.reference.number_checks import number_findings

__all__ = ["Finding", "check"]


def check(reference: Reference) -> tuple[Finding, ...]:
    """All findings, in the order of the tables and their lines. Files are named as in a pack of CSV tables."""
    order = {f"{name}.csv": place for place, name in enumerate(TABLES)}
    findings = [*gaps(reference), *contradictions(reference), *number_findings(reference)]
    return tuple(sorted(findings, key=lambda each: (order[each.file], each.line, each.kind, each.says)))
