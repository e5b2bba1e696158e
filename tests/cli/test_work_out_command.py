"""``floatbowl work-out``: listing, asking, answering, refusing."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from click.testing import CliRunner, Result

from floatbowl.cli.work_out import command_of, work_out
from floatbowl.engine.refusal import within
from floatbowl.work_out.calculation import (
    DIRECTION_ONLY,
    Answer,
    Asked,
    Calculation,
    Figure,
    MindThis,
    Table,
)
from floatbowl.work_out.everything import calculations, groups


def run(*words: str, width: int = 100) -> Result:
    return CliRunner(env={"COLUMNS": str(width)}).invoke(work_out, list(words))


def plain(text: str) -> str:
    return " ".join(text.split())


def _hole(*, hole_m: float, depth_m: float, fluid: str) -> Answer:
    within("the hole", hole_m, 0.0001, 0.1, "m")
    volume = 0.7853981633974483 * hole_m**2 * depth_m
    return Answer(
        f"The hole holds some {fluid}.",
        (Figure("volume", "It holds", volume, "volume", "cm3"), Figure("across", "Across", hole_m, "length", "mm")),
        (Table(("Drill", "Size"), (("[10]", "10 mm"),), "Nearest drills"),),
        notes=("Blow it out first.",),
    )


HOLE = Calculation(
    key="hole",
    title="What a hole holds",
    asks=(
        Asked("hole_m", "Hole", "length", "mm", usual=0.01, spread=0.0001, how="With a pin gauge."),
        Asked("depth_m", "Depth", "length", "mm", how="With a depth gauge"),
        Asked("fluid", "Fluid", choices=("petrol", "E10"), usual="petrol"),
    ),
    work=_hole,
    equation="V = pi d^2 h / 4",
    holds="Round holes.",
    source="Geometry.",
    validated=False,
    cautions=(MindThis("No petrol indoors.", "the fire rule of the shop"),),
)


def ask_hole(*words: str, width: int = 100) -> Result:
    return CliRunner(env={"COLUMNS": str(width)}).invoke(command_of(HOLE), list(words))


def test_the_list_names_every_calculation_under_its_group() -> None:
    found = run()
    assert found.exit_code == 0
    for group in groups():
        assert group.title in found.stdout
        for one in group.calculations:
            assert plain(f"{one.key} {one.title}") in plain(found.stdout)


def test_the_sentence_comes_first_and_everything_is_said() -> None:
    found = ask_hole("--depth", "10")
    assert found.exit_code == 0, found.output
    assert found.stdout.startswith("The hole holds some petrol.")
    told = plain(found.stdout)
    assert "It holds 0.79 cm3, give or take 0.03" in told
    assert "Nearest drills Drill Size [10] 10 mm" in told
    assert "Blow it out first." in told
    assert "Worked out from Depth 10 mm" in told
    assert "Taken as usual, since nothing was told Hole 10.0 mm, give or take 0.2 Fluid petrol" in told
    assert DIRECTION_ONLY in told
    assert "No petrol indoors. Whose rule decides: the fire rule of the shop" in told
    assert "19 times in 20" in told
    assert "pi d^2" not in told


def test_how_it_is_worked_out_is_shown_when_asked_for() -> None:
    told = plain(ask_hole("--depth", "10", "--how").stdout)
    assert "Equation V = pi d^2 h / 4" in told
    assert "Holds Round holes." in told
    assert "Source Geometry." in told


def test_inches_in_and_out() -> None:
    told = plain(ask_hole("--hole", "3/8 +- .005", "--depth", "1", "--inch").stdout)
    assert "Across .375 in, give or take .005" in told
    assert "Depth 1 in" in told


def test_help_says_what_how_and_in_what_unit() -> None:
    told = plain(ask_hole("--help").stdout)
    assert "--hole LENGTH" in told
    assert "Hole. With a pin gauge. A bare number is mm. Left out: 10.0 mm, give or take 0.2." in told
    assert "--fluid WORD" in told
    assert "One of: petrol, E10. Left out: petrol." in told
    assert DIRECTION_ONLY in told


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "--depth: is needed: Depth, in mm\n"),
        (("--depth", "much"), "--depth: 'much' is not a length; write one like 1 1/8 in, .156 in or 28.6 mm\n"),
        (("--depth", "1", "--fluid", "tea"), "--fluid: 'tea' is not one of petrol, E10\n"),
        (
            ("--depth", "1", "--hole", "2 m"),
            "What a hole holds: the hole is 2000 mm; it must be between 0.1 and 100 mm\n",
        ),
    ],
)
def test_a_refusal_is_one_plain_line_and_ends_with_2(words: tuple[str, ...], says: str) -> None:
    found = ask_hole(*words)
    assert found.exit_code == 2
    assert found.stderr == says
    assert found.stdout == ""


def test_an_unknown_calculation_is_refused_with_one_near_it() -> None:
    found = run("conversoin")
    assert found.exit_code == 2
    assert found.stderr == (
        "'conversoin' is nothing that can be worked out; near it: conversion. 'floatbowl work-out' lists what can be\n"
    )


def test_json_has_si_values_and_the_text_shown() -> None:
    found = ask_hole("--depth", "1 in", "--json")
    told = json.loads(found.stdout)
    figure = told["figures"][0]
    assert figure["value"] == pytest.approx(0.7853981633974483e-4 * 0.0254)
    assert figure["si_unit"] == "m3"
    assert figure["shown"].startswith("1.99")
    assert told["asked"][1] == {
        "name": "depth", "says": "Depth", "kind": "length", "value": 0.0254, "sd": 0.0, "si_unit": "m", "told": True,
        "shown": "25.4 mm",
    }  # fmt: skip
    assert told["cautions"] == [{"says": "No petrol indoors.", "rule": "the fire rule of the shop"}]


@pytest.mark.parametrize("key", calculations())
def test_every_calculation_is_printed_with_its_usual_figures(key: str) -> None:
    found = run(key, "--how", width=60)
    assert found.exit_code == 0, found.output
    one = calculations()[key]
    for mind in one.cautions:
        assert plain(mind.says) in plain(found.stdout)
        assert plain(mind.rule) in plain(found.stdout)
    assert (DIRECTION_ONLY in plain(found.stdout)) is not one.validated
    assert max(map(len, found.stdout.splitlines())) <= 60


@pytest.mark.parametrize("key", calculations())
def test_every_calculation_has_help(key: str) -> None:
    found = run(key, "--help")
    assert found.exit_code == 0
    told = plain(found.stdout)
    assert all(plain(ask.says) in told for ask in calculations()[key].asks)


def test_help_is_quick_because_nothing_heavy_is_imported() -> None:
    asked = (
        "import sys; from floatbowl.cli import main; main(['work-out', '--help'], standalone_mode=False);"
        "print([name for name in ('scipy', 'numpy', 'rich', 'django') if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True, timeout=60)
    assert found.stdout.splitlines()[-1] == "[]"
