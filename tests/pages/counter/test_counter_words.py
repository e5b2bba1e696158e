"""The examples in the counter's own modules hold."""

from __future__ import annotations

import doctest
import importlib

import pytest

MODULES = (
    "floatbowl.shop.pages.counter.words",
    "floatbowl.shop.pages.counter.kits",
    "floatbowl.shop.pages.enquiries.search",
    "floatbowl.shop.models.enquiry",
)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_hold(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted
    assert not result.failed


@pytest.mark.parametrize(
    ("words", "drawing", "part"),
    [
        ("Does a magnet stick to the bowl?", "magnet", "bowl"),
        ("How far apart are the two flange bolts?", "flange", "throttle"),
        ("On which side is the choke lever, looking into the air inlet?", "inlet", "horn"),
        ("Is the short bar raised or flat?", "finger", "lid"),
        ("How far apart are the tag's rivets?", "holes", "tag"),
        ("What holds the bowl on, seen from below?", "under", "bowl"),
        ("Is there anything odd about it?", "whole", "all"),
    ],
)
def test_each_look_has_a_drawing_of_where_to_look(words: str, drawing: str, part: str) -> None:
    from floatbowl.reference.facts import FeatureKind
    from floatbowl.shop.pages.counter.drawings import drawing_for

    parts = {"throttle": "throttle body", "horn": "air horn", "all": ""}
    found = drawing_for(FeatureKind(feature="x", question=words, kind="choice", part=parts.get(part, part)))
    assert (found.name, found.part) == (drawing, part)
