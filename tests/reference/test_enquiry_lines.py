"""Enquiry lines: everything the format allows, every fault in its place, and a round trip."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.reference.enquiries import (
    EnquiryError,
    EnquiryFault,
    enquiry_as_json,
    enquiry_from_json,
    read_enquiries,
)
from floatbowl.reference.facts import FORMS
from floatbowl.reference.observed import VIAS, Enquiry, Look, Reading


def one(told: Any) -> Enquiry | EnquiryFault:
    (only,) = read_enquiries([json.dumps(told)])
    return only


def test_the_example_of_the_format():
    line = (
        '{"enquiry": "E1", "machine": "lowfold", "serial": "20417", "year": 1948, "readings": [{"text": "K3?/11[83]",'
        ' "part": "tag", "form": "stamped", "via": "seen"}], "looks": [{"feature": "magnet body", "value": "sticks",'
        ' "via": "heard", "coached": true, "group": "call 1"}, {"feature": "bolt spacing", "value": 60.5,'
        ' "tool": "rule"}]}'
    )
    assert list(read_enquiries([line, "\n", "  "])) == [
        Enquiry(
            enquiry="E1",
            machine="lowfold",
            serial="20417",
            year=1948,
            readings=(Reading(text="K3?/11[83]", part="tag", form="stamped", via="seen"),),
            looks=(
                Look(feature="magnet body", value="sticks", via="heard", coached=True, group="call 1"),
                Look(feature="bolt spacing", value=60.5, tool="rule"),
            ),
        )
    ]


def test_shorthand_additions_and_fields_of_the_future():
    told = one(
        {
            "enquiry": "E2",
            "machine_text": "grey Drumlow",
            "serial": 20417,
            "answers": {"magnet body": "sticks", "inlet side": "unsure"},
            "measures": {
                "bolt spacing": {"value": 60.5, "tool": "rule"},
                "bore": {"value": "28.5", "spread": 0.2},
                "n": 4,
            },
            "bought": ["T-12"],
            "want": {"level": "full", "fuel": "petrol"},
            "readings": [{"cells": [{"8": 0.7, "3": 0.2, "": 0.1}, {"{RING}": 1}], "glare": True}],
            "weather": "wet",
        }
    )
    assert told == Enquiry(
        enquiry="E2",
        machine_text="grey Drumlow",
        serial="20417",
        readings=(Reading(cells=((("8", 0.7), ("3", 0.2), ("", 0.1)), (("{RING}", 1.0),))),),
        looks=(
            Look(feature="magnet body", value="sticks"),
            Look(feature="inlet side", value="unsure"),
            Look(feature="bolt spacing", value=60.5, tool="rule"),
            Look(feature="bore", value="28.5", spread=0.2),
            Look(feature="n", value=4.0),
        ),
        bought=("T-12",),
        want_level="full",
        want_fuel="petrol",
    )


@pytest.mark.parametrize(
    ("told", "field", "says"),
    [
        ({}, "enquiry", "is missing"),
        ({"enquiry": ["x"]}, "enquiry", "is not text"),
        ([1], "", "is not an object"),
        ({"enquiry": "E", "year": "about 1950"}, "year", "is not a number"),
        ({"enquiry": "E", "year": 1948.5}, "year", "is not a year"),
        ({"enquiry": "E", "readings": {}}, "readings", "is not a list"),
        ({"enquiry": "E", "readings": ["K36"]}, "readings[0]", "is not an object"),
        ({"enquiry": "E", "readings": [{}]}, "readings[0].text", "is empty"),
        ({"enquiry": "E", "readings": [{"text": "K"}, {"text": "  "}]}, "readings[1].text", "is empty"),
        ({"enquiry": "E", "readings": [{"text": "x" * 61}]}, "readings[0].text", "give only the number"),
        ({"enquiry": "E", "readings": [{"text": "x" * 500}]}, "readings[0].text", "has 500 places, more than 60"),
        ({"enquiry": "E", "readings": [{"cells": [{"a": 1}] * 61}]}, "readings[0].text", "give only the number"),
        ({"enquiry": "E", "readings": [{"text": "K", "cells": [{"K": 1}]}]}, "readings[0].text", "not both"),
        ({"enquiry": "E", "readings": [{"text": "K", "via": "smelt"}]}, "readings[0].via", "not one of seen, heard"),
        ({"enquiry": "E", "readings": [{"text": "K", "form": "drawn"}]}, "readings[0].form", "not one of stamped"),
        ({"enquiry": "E", "readings": [{"cells": [{"KK": 1}]}]}, "readings[0].cells[0]", "more than one character"),
        ({"enquiry": "E", "readings": [{"cells": [{"K": 2}]}]}, "readings[0].cells[0]", "is not a probability"),
        ({"enquiry": "E", "readings": [{"cells": [{"K": 0.6, "R": 0.6}]}]}, "readings[0].cells[0]", "more than 1"),
        ({"enquiry": "E", "readings": [{"cells": [["K"]]}]}, "readings[0].cells[0]", "is not an object"),
        ({"enquiry": "E", "readings": [{"text": "a\ud800"}]}, "readings[0].text", "half a character"),
        ({"enquiry": "E", "looks": [{"value": "left"}]}, "looks[0].feature", "is missing"),
        ({"enquiry": "E", "looks": [{"feature": "inlet"}]}, "looks[0].value", "is missing"),
        (
            {"enquiry": "E", "looks": [{"feature": "b", "value": float("nan")}]},
            "looks[0].value",
            "is not a plain number",
        ),
        ({"enquiry": "E", "looks": [{"feature": "b", "value": 10**400}]}, "looks[0].value", "is not a plain number"),
        ({"enquiry": "E", "looks": [{"feature": "b", "value": 1, "spread": 0}]}, "looks[0].spread", "must be above 0"),
        ({"enquiry": "E", "looks": [{"feature": "b", "value": 1, "spread": "0,5"}]}, "looks[0].spread", "not a number"),
        (
            {"enquiry": "E", "looks": [{"feature": "b", "value": 1, "coached": "yes"}]},
            "looks[0].coached",
            "true or false",
        ),
        ({"enquiry": "E", "looks": [{"feature": "b", "value": 1}] * 501}, "looks", "more than 500"),
        ({"enquiry": "E", "answers": ["x"]}, "answers", "is not an object"),
        ({"enquiry": "E", "measures": {"bore": {}}}, "measures.bore.value", "is missing"),
        ({"enquiry": "E", "bought": "T-12"}, "bought", "is not a list"),
        ({"enquiry": "E", "bought": [{}]}, "bought.0", "is not text"),
        ({"enquiry": "E", "want": "full"}, "want", "is not an object"),
        ({"enquiry": "E", "machine": "x" * 3000}, "machine", "is longer than"),
    ],
)
def test_each_fault_names_its_field(told, field, says):
    fault = one(told)
    assert isinstance(fault, EnquiryFault)
    assert (fault.line, fault.field) == (1, field)
    assert says in fault.says
    assert fault.enquiry == ("E" if isinstance(told, dict) and told.get("enquiry") == "E" else None)
    assert "\n" not in str(fault)


@pytest.mark.parametrize(
    "text", ["{", "nonsense", '{"enquiry": "E"', "[" * 100_000, '{"enquiry": 1' + "0" * 5000 + "}"]
)
def test_a_line_that_is_no_json_does_not_stop_the_others(text):
    fault, good = read_enquiries([text, '{"enquiry": "E2"}'])
    assert isinstance(fault, EnquiryFault)
    assert fault.line == 1
    assert good == Enquiry(enquiry="E2")


def test_a_very_long_line_is_refused_unread():
    (fault,) = read_enquiries(['{"enquiry": "' + "x" * 1_000_001 + '"}'])
    assert isinstance(fault, EnquiryFault)
    assert "one enquiry a line" in fault.says


def test_lines_that_are_not_utf_8_are_told_by_number_and_a_byte_order_mark_is_accepted():
    lines = io.BytesIO(b'\xef\xbb\xbf{"enquiry": "A"}\r\n{"enquiry": "\xf6"}\n{"enquiry": "B"}\n')
    first, fault, last = read_enquiries(lines)
    assert (first, last) == (Enquiry(enquiry="A"), Enquiry(enquiry="B"))
    assert isinstance(fault, EnquiryFault)
    assert (fault.line, fault.says) == (2, "byte 0xf6 is not UTF-8; save it as UTF-8")
    assert list(read_enquiries(['\ufeff{"enquiry": "A"}'])) == [Enquiry(enquiry="A")]


def test_a_text_file_that_cannot_be_decoded_is_one_fault_of_the_whole_file():
    text = io.TextIOWrapper(io.BytesIO(b'{"enquiry": "A\xff"}\n'), encoding="utf-8")
    (fault,) = read_enquiries(text)
    assert fault == EnquiryFault(0, None, "", "the file is not UTF-8 text; save it as UTF-8")


@pytest.mark.parametrize(
    "text", ["?", "???", "*", "\U0001f600", "K\u0663", r"\?\*", "[", "]8[", "{RING}", "{", "\u202e1"]
)
def test_odd_readings_are_kept_as_they_were_typed(text):
    told = one({"enquiry": "E", "readings": [{"text": text}]})
    assert isinstance(told, Enquiry)
    assert told.readings[0].text == text


def test_sixty_places_are_enough_however_they_are_written():
    text = "[83]" * 59 + r"\?"
    assert isinstance(one({"enquiry": "E", "readings": [{"text": text}]}), Enquiry)
    assert isinstance(one({"enquiry": "E", "readings": [{"text": text + "1"}]}), EnquiryFault)


def test_an_object_alone_need_not_be_named_but_must_be_sound():
    assert enquiry_from_json({"machine": "lowfold"}) == Enquiry(machine="lowfold")
    with pytest.raises(EnquiryError, match=r"year: 'x' is not a number"):
        enquiry_from_json({"year": "x"})


WORD = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=8).map(str.strip)
NAME = WORD.filter(bool)
CHANCE = st.floats(0.0, 0.3)
CELL = st.dictionaries(st.sampled_from(["8", "3", "", "{RING}"]), CHANCE, max_size=3).map(lambda d: tuple(d.items()))
TEXT = st.text("K3?/[8]*\\{} ", min_size=1, max_size=20).filter(lambda t: bool(t.strip()))
READING = st.builds(
    Reading, text=TEXT, part=WORD, form=st.sampled_from([*FORMS, ""]), via=st.sampled_from(VIAS), group=WORD
) | st.builds(Reading, cells=st.lists(CELL, min_size=1, max_size=4).map(tuple), via=st.sampled_from(VIAS))
LOOK = st.builds(
    Look,
    feature=NAME,
    value=NAME | st.floats(allow_nan=False, allow_infinity=False),
    tool=WORD,
    spread=st.none() | st.floats(1e-6, 1e6),
    via=st.sampled_from(VIAS),
    coached=st.booleans(),
    group=WORD,
    part=WORD,
)
ENQUIRY = st.builds(
    Enquiry,
    enquiry=NAME,
    machine=WORD,
    machine_text=WORD,
    serial=WORD,
    year=st.none() | st.integers(0, 9999),
    readings=st.lists(READING, max_size=3).map(tuple),
    looks=st.lists(LOOK, max_size=3).map(tuple),
    bought=st.lists(NAME, max_size=2).map(tuple),
    want_level=WORD,
    want_fuel=WORD,
)


@given(ENQUIRY)
def test_an_enquiry_is_written_and_read_again_without_loss(enquiry):
    assert enquiry_from_json(enquiry_as_json(enquiry)) == enquiry
    assert list(read_enquiries([json.dumps(enquiry_as_json(enquiry))])) == [enquiry]


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)
FIELDS = ["enquiry", "machine", "serial", "year", "readings", "looks", "answers", "measures", "bought", "want", "text"]


@given(
    st.dictionaries(st.sampled_from(FIELDS), JSON | st.lists(st.dictionaries(st.sampled_from(["text", "cells"]), JSON)))
)
def test_no_object_whatever_brings_the_reading_down(told):
    for line in read_enquiries([json.dumps(told), json.dumps(told).encode("utf-8", "surrogatepass")]):
        assert isinstance(line, (Enquiry, EnquiryFault))
