"""Numbers that break their maker's pattern or check letter, and marks that wear would confuse.

A pattern is held against the text of an identifying mark, devices in their braces. Marks that count only together
(the same word under ``with``) are joined by a blank in any order; one order that fits is enough, and so is the
identifying mark alone.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Iterator
from itertools import permutations
from typing import Final

from floatbowl.reference.check_letter import CheckRule, parse_check_rule, passes
from floatbowl.reference.facts import Mark, Reference
from floatbowl.reference.fault import shown
from floatbowl.reference.finding import Finding, found
from floatbowl.reference.one_apart import one_character_apart, plain_texts
from floatbowl.reference.pattern import LONGEST_TEXT, matches, parse_pattern

#: Time that one maker's pattern may take over all its marks.
PATTERN_SECONDS: Final = 10.0
MOST_JOINED: Final = 4
MOST_NAMED: Final = 3


def number_findings(reference: Reference) -> Iterator[Finding]:
    """All findings about numbers."""
    yield from _against_rules(reference)
    yield from _same_marks(reference)
    yield from _worn_marks(reference)


def identities(reference: Reference) -> dict[tuple[str, str], list[Mark]]:
    """The marks that identify a carburettor, each with those it counts together with, devices first.

    The key is the carburettor and the joined text.
    """
    together: dict[tuple[str, str], list[Mark]] = defaultdict(list)
    for mark in reference.marks:
        if mark.with_ and mark.role in ("identifies", "family"):
            together[(mark.carburettor, mark.with_)].append(mark)
    told: dict[tuple[str, str], list[Mark]] = {}
    for mark in reference.marks:
        if mark.role == "identifies":
            group = together.get((mark.carburettor, mark.with_), [mark])
            group = sorted(group, key=lambda each: (not each.text.startswith("{"), each.text, each.line))
            told[(mark.carburettor, " ".join(each.text for each in group))] = group
    return told


def _against_rules(reference: Reference) -> Iterator[Finding]:
    patterns: dict[str, str] = {}
    rules: dict[str, CheckRule | None] = {}
    for maker in reference.makers:
        try:
            if maker.pattern:
                parse_pattern(maker.pattern)
                patterns[maker.maker] = maker.pattern
        except ValueError as problem:
            yield found("makers", maker.line, "bad pattern", f"{maker.maker}: {problem}")
        try:
            rules[maker.maker] = parse_check_rule(maker.check)
        except ValueError as problem:
            yield found("makers", maker.line, "bad check rule", f"{maker.maker}: {problem}")
    made_by = {row.carburettor: row.maker for row in reference.carburettors}
    spent: dict[str, float] = defaultdict(float)
    for (carburettor, text), group in identities(reference).items():
        maker_key = made_by.get(carburettor, "")
        mark = next(each for each in group if each.role == "identifies")
        if maker_key in patterns and spent[maker_key] <= PATTERN_SECONDS:
            began = time.perf_counter()
            fits = _fits(group, patterns[maker_key])
            spent[maker_key] += time.perf_counter() - began
            if fits is False:
                says = f"{carburettor}: {shown(text)} does not fit {maker_key}'s pattern {shown(patterns[maker_key])}"
                yield found("marks", mark.line, "breaks pattern", says)
            elif fits is None:
                says = f"{carburettor}: longer than {LONGEST_TEXT} characters, not held against the pattern"
                yield found("marks", mark.line, "not checked", says)
        rule = rules.get(maker_key)
        if rule is not None and any(passes(each.text, rule) is False for each in group if each.role == "identifies"):
            says = f"{carburettor}: the letter in {shown(text)} is not the one its number asks for"
            yield found("marks", mark.line, "breaks check letter", says)
    for maker in reference.makers:
        if spent[maker.maker] > PATTERN_SECONDS:
            says = f"{maker.maker}: took more than {PATTERN_SECONDS:g} s, so not all marks were held against it"
            yield found("makers", maker.line, "slow pattern", says)


def _fits(group: list[Mark], pattern: str) -> bool | None:
    alone = [mark.text for mark in group if mark.role == "identifies"]
    texts = [mark.text for mark in group]
    joined = [" ".join(order) for order in permutations(texts)] if len(texts) <= MOST_JOINED else [" ".join(texts)]
    verdicts = [matches(text, pattern) for text in dict.fromkeys(joined + alone)]
    if True in verdicts:
        return True
    return None if None in verdicts else False


def kits_by_carburettor(reference: Reference) -> dict[str, frozenset[str]]:
    """The kits that fit each carburettor; one without a kit is left out."""
    fits: dict[str, set[str]] = defaultdict(set)
    for fit in reference.kit_fits:
        fits[fit.carburettor].add(fit.kit)
    return {carburettor: frozenset(kits) for carburettor, kits in fits.items()}


def _worn_marks(reference: Reference) -> Iterator[Finding]:
    told = identities(reference)
    kits = kits_by_carburettor(reference)
    plain = plain_texts({text for _, text in told})
    by_plain: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for carburettor, text in told:
        by_plain[plain[text]].append((carburettor, text))
    for worn, near in one_character_apart(by_plain).items():
        for carburettor, text in by_plain[worn]:
            # A family of alike marks is told from each member, so that every line can be mended where it stands.
            others = [
                f"{shown(other_text)} ({other})"
                for other_worn in sorted(near)
                for other, other_text in by_plain[other_worn]
                if other != carburettor and kits.get(other, frozenset()) != kits.get(carburettor, frozenset())
            ]
            if others:
                more = f" and {len(others) - MOST_NAMED} more" if len(others) > MOST_NAMED else ""
                says = f"{shown(text)} ({carburettor}) is one character from {', '.join(others[:MOST_NAMED])}{more}"
                mark = next(each for each in told[(carburettor, text)] if each.role == "identifies")
                yield found("marks", mark.line, "one worn character", f"{says}, which need other kits")


def _same_marks(reference: Reference) -> Iterator[Finding]:
    """Builds that share a mark and need different kits, with no recorded feature to tell them apart."""
    told = identities(reference)
    kits = kits_by_carburettor(reference)
    bearers: dict[str, list[str]] = defaultdict(list)
    for carburettor, text in told:
        bearers[text].append(carburettor)
    shared = {text: keys for text, keys in bearers.items() if len(keys) > 1}
    wanted = {key for keys in shared.values() for key in keys}
    looks: dict[str, dict[str, str]] = defaultdict(dict)
    for row in reference.features:
        if row.carburettor in wanted:
            looks[row.carburettor][row.feature] = row.value
    for text, keys in shared.items():
        first = keys[0]
        for other in keys[1:]:
            alike = all(looks[other].get(f, value) == value for f, value in looks[first].items())
            if alike and kits.get(first, frozenset()) != kits.get(other, frozenset()):
                says = (
                    f"{first} and {other} both bear {shown(text)} and need other kits, but no feature tells them apart"
                )
                yield found("marks", told[(other, text)][0].line, "same mark", says)
