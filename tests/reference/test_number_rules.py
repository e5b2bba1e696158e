"""Check letters, makers' patterns, marks one character apart, and cycles: each against a slow plain way."""

from __future__ import annotations

import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.reference.check_letter import parse_check_rule, passes
from floatbowl.reference.cycles import cycles_of
from floatbowl.reference.one_apart import one_character_apart, plain_texts
from floatbowl.reference.pattern import LONGEST_TEXT, matches, parse_pattern


@given(st.integers(0, 9999), st.sampled_from("ABCDEFG"))
def test_exactly_one_letter_passes_for_every_number(number, letter):
    right = "ABCDEFG"[number % 7]
    assert passes(f"{{BAR}} {number}-{letter}-3", "mod7:A-G") is (letter == right)
    assert passes(f"{number}{letter.lower()}3", "mod7:A-G") is (letter == right)


@pytest.mark.parametrize(
    "text", ["", "RING", "206", "206-3-D", "K36/118", "{RING} D", "?06-D", "20?-D-3", "2[05]6-D", "-"]
)
def test_what_cannot_be_judged_is_neither_right_nor_wrong(text):
    assert passes(text, "mod7:A-G") is None


def test_no_rule_judges_nothing_and_a_letter_outside_the_rule_fails():
    assert passes("206-E-3", "") is None
    assert passes("206-E-3", None) is None
    assert passes("206-X-3", "mod7:A-G") is False


@pytest.mark.parametrize(
    "text", ["mod7", "mod7:A-H", "mod8:A-G", "mod0:A-A", "mod1:A-A", "mod7:a-g", "mod7:G-A", "crc"]
)
def test_a_rule_that_makes_no_sense_is_refused(text):
    with pytest.raises(ValueError, match=re.escape(text)):
        parse_check_rule(text)


@pytest.mark.parametrize(
    "pattern",
    [
        "(a+)+b",
        "(a*)*",
        "(a|a)*b",
        "(a|aa)+$",
        "a?" * 30 + "a" * 30,
        r"(\w{1,20}){1,20}!",
        r"(.)\1+",
        ".*.*.*.*x",
        "((a{0,9}){0,9}){0,9}",
        "(?=(a+)+b)a",
        "(" * 50 + "a+" + ")+" * 50,
        "a" * 201,
        "(",
        "[z-a]",
        "a{9,1}",
    ],
)
def test_patterns_that_could_take_for_ever_or_are_none_are_refused_at_once(pattern):
    began = time.perf_counter()
    with pytest.raises(ValueError, match=r"for ever|longer than|no regular expression"):
        parse_pattern(pattern)
    assert time.perf_counter() - began < 1.0


@pytest.mark.parametrize(
    ("pattern", "text"),
    [
        (r"[DKNV]\d\d/\d{3}", "K36/118"),
        (r"\{(RING|BAR|STAR)\} \d{3}-[A-G]-\d", "{RING} 206-D-3"),
        (r"[2-8]\.\d{3}\.[1-9]( (raised|flat))?", "6.114.2 raised"),
        (r"[B-DF-HJ-NP-TV-Z]{3}-[B-DF-HJ-NP-TV-Z]{3}", "PWK-BZM"),
        (r"8\d( \d{3}| \d{2}){2}", "81 204 55"),
        (r"(?i)k\d+/\d+", "K36/118"),
    ],
)
def test_makers_patterns_are_used_whole(pattern, text):
    assert matches(text, pattern) is True
    assert matches(text + "x", pattern) is False
    assert matches("x" + text, pattern) is False


@pytest.mark.parametrize("pattern", [r"\d+[A-Z]+\d+x", r"[0-9]*1*x", r"(1|11)1*[12]*x", r".*.*x"])
def test_the_slowest_patterns_that_are_accepted_stay_quick_on_the_longest_text(pattern):
    began = time.perf_counter()
    assert matches("1" * LONGEST_TEXT, pattern) is False
    assert time.perf_counter() - began < 0.5


def test_no_pattern_and_too_long_a_text_are_not_judged():
    assert matches("K36", "") is None
    assert matches("1" * (LONGEST_TEXT + 1), r"\d+") is None


def apart(one: str, other: str) -> bool:
    if len(one) == len(other):
        return sum(a != b for a, b in zip(one, other, strict=True)) == 1
    short, long = sorted((one, other), key=len)
    return len(long) == len(short) + 1 and any(long[:n] + long[n + 1 :] == short for n in range(len(long)))


@given(st.lists(st.text("AB1", max_size=5), unique=True, max_size=25))
def test_one_character_apart_is_what_comparing_every_pair_finds(texts):
    slow = {one: {other for other in texts if apart(one, other)} for one in texts}
    assert one_character_apart(texts) == {text: near for text, near in slow.items() if near}


def test_weak_signs_are_left_out_and_a_device_is_one_character():
    plain = plain_texts(["{RING} 206-d-3", "{ring}206 D 3", "{BAR} 206-D-3"])
    assert plain["{RING} 206-d-3"] == plain["{ring}206 D 3"] != plain["{BAR} 206-D-3"]
    assert len({len(text) for text in plain.values()}) == 1
    assert apart(plain["{RING} 206-d-3"], plain["{BAR} 206-D-3"])


@given(st.lists(st.tuples(st.sampled_from("abcdef"), st.sampled_from("abcdef")), max_size=12))
def test_cycles_are_real_and_found_whenever_there_is_one(steps):
    cycles = cycles_of(steps)
    for cycle in cycles:
        assert len(set(cycle)) == len(cycle)
        for old, new in zip(cycle, (*cycle[1:], cycle[0]), strict=True):
            assert (old, new) in steps
    assert bool(cycles) == any(reaches(steps, new, old) for old, new in steps)


def reaches(steps: list[tuple[str, str]], start: str, end: str) -> bool:
    seen = {start}
    while True:
        more = {new for old, new in steps if old in seen} - seen
        if not more:
            return end in seen
        seen |= more


def test_a_chain_of_100_000_replacements_is_followed_without_recursion():
    steps = [(str(n), str(n + 1)) for n in range(100_000)]
    assert cycles_of(steps) == []
    assert len(cycles_of([*steps, ("100000", "0")])[0]) == 100_001
