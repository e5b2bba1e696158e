"""``floatbowl identify`` for one enquiry: options in order, words matched, an answer that a person can read."""

from __future__ import annotations

from dataclasses import replace
from importlib import resources
from io import StringIO
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from rich.console import Console

from floatbowl.cli.identify import identify
from floatbowl.cli.item_options import Item, items_of
from floatbowl.cli.one_enquiry import UnknownWords, enquiry_of
from floatbowl.cli.show import show
from floatbowl.identify.answer import NextLook
from floatbowl.identify.consult import consult
from floatbowl.identify.looks import READ_CAUTION, READ_HOW
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.observed import Enquiry, Reading
from floatbowl.reference.pack import read_pack

PACK = Path(str(resources.files("floatbowl.demo").joinpath("pack")))


@pytest.fixture(scope="module")
def weigher() -> Weigher:
    return Weigher(read_pack(PACK))


def run(*words: str, width: int = 100) -> Result:
    return CliRunner(env={"COLUMNS": str(width)}).invoke(identify, ["--pack", str(PACK), *words])


def plain(text: str) -> str:
    return " ".join(text.split())


def test_the_worn_tag_is_answered_with_names_reasons_and_a_next_look() -> None:
    found = run("--reading", "K3?/11[83]", "--part", "tag", "--machine", "lowfold")
    assert found.exit_code == 0, found.output
    told = plain(found.stdout)
    assert told.startswith("Kits")
    assert "in 100 this kit" in told
    assert "Tarnsyke K36/118" in told
    assert "K3?/11[83]" in told
    assert "Drumlow Lowfold came with" in told
    assert "not in our records" in told
    assert "Look next" in told
    assert "minute" in told
    assert "Ask first:" in told
    assert "k36-118" not in told


def test_the_example_of_the_manual_runs() -> None:
    found = run(
        "--reading", "K3?/11[83]", "--part", "tag", "--machine", "lowfold", "--look", "inlet side=left",
        "--measure", "bolt spacing=66.5 rule",
    )  # fmt: skip
    assert found.exit_code == 0, found.output
    assert "Bolt spacing: 66.5 mm" in plain(found.stdout)


def test_enough_evidence_says_which_kit_to_send() -> None:
    found = run(
        "--reading", "K36/118", "--part", "tag", "--machine", "lowfold", "--coached", "--look", "inlet side=left",
        "--look", "magnet body=sticks", "--measure", "throat bore=28.5 caliper", "--want-level", "full",
        "--want-fuel", "petrol",
    )  # fmt: skip
    assert found.exit_code == 0, found.output
    assert "then send Full kit" in plain(found.stdout)


def test_the_caution_is_shown_where_a_number_is_asked_for(weigher: Weigher) -> None:
    answer = consult(weigher, Enquiry(readings=(Reading("2063", part="bowl"),)))
    tag = NextLook(
        4.0, 2, 0.5, 0.1, mark="tag", question="What number is on the tag?", how=READ_HOW, caution=READ_CAUTION
    )
    to = Console(file=StringIO(), width=80, markup=False)
    show(replace(answer, next=(tag,), advice=replace(answer.advice, action="ask")), weigher, to)
    told = plain(to.file.getvalue())  # type: ignore[attr-defined]
    assert "What number is on the tag?" in told
    assert "Photograph it untouched first" in told
    assert "Never wire, abrasive, scraper" in told


def test_castings_that_disagree_are_said_outright() -> None:
    told = plain(
        run(
            "--reading", "206-D-3", "--part", "throttle body", "--form", "stamped",
            "--reading", "{BAR}", "--part", "lid", "--form", "cast",
        ).stdout
    )  # fmt: skip
    assert "What disagrees" in told
    assert "built from two" in told


@pytest.mark.parametrize("width", [30, 60, 200])
def test_nothing_runs_past_the_edge(width: int) -> None:
    found = run("--reading", "K3?/11[83]", "--part", "tag", "--machine", "lowfold", width=width)
    assert max(map(len, found.stdout.splitlines())) <= width
    assert "K36/118" in found.stdout


def test_output_that_is_piped_is_plain() -> None:
    assert "\x1b" not in run("--reading", "K36/118").stdout


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--look", "inlet sid=left"), "'inlet side'|inlet side"),
        (("--look", "inlet side=lefft"), "left"),
        (("--look", "inlet side"), "feature=answer"),
        (("--look", "inlet side="), "feature=answer"),
        (("--measure", "bolt spacing=60.5 ruler"), "rule"),
        (("--measure", "bolt spacing=60,5 rule"), "60.5"),
        (("--measure", "bolt spacing=wide"), "60.5 rule"),
        (("--machine", "Drumlow"), "Drumlow Lowfold (lowfold)"),
        (("--machine", "zzzz"), "--machine-text"),
        (("--want-fuel", "petrl"), "petrol"),
        (("--bought", "T-25"), "T-25F"),
        (("--reading", " "), "text"),
    ],
)
def test_unknown_words_are_told_with_near_ones(words: tuple[str, ...], says: str) -> None:
    found = run(*words)
    assert found.exit_code == 2
    assert found.stdout == ""
    (line,) = found.stderr.splitlines()
    assert any(part in line for part in says.split("|")), line


def test_every_unknown_word_is_told_at_once() -> None:
    found = run("--look", "inlet sid=left", "--machine", "zzzz", "--measure", "bolt spacing=60.5 ruler")
    assert len(found.stderr.splitlines()) == 3


def test_a_machine_whose_name_is_nearly_right_is_taken_and_said() -> None:
    found = run("--machine", "Drumlow Lofold")
    assert found.exit_code == 0
    assert "Drumlow Lowfold" in found.stderr


def test_a_machine_in_no_records_is_taken_as_text() -> None:
    found = run("--machine-text", "Quern Nine", "--reading", "K36/118")
    assert found.exit_code == 0
    assert "not in our records, so it says nothing" in plain(found.stdout)


def test_saying_nothing_is_asked_about() -> None:
    found = run()
    assert found.exit_code == 2
    assert "--reading" in found.stderr


def test_options_belong_to_the_item_before_them(weigher: Weigher) -> None:
    typed = [
        ("via", "heard"), ("reading", "K36"), ("part", "tag"), ("form", "stamped"), ("reading", "2063"),
        ("part", "bowl"), ("via", "seen"), ("look", "Inlet  Side=LEFT"), ("coached", True),
        ("measure", "bolt spacing=2 3/8 in caliper"),
    ]  # fmt: skip
    enquiry = enquiry_of(weigher, items_of(typed), {"machine": "Drumlow Lowfold", "year": 1948})
    assert enquiry.machine == "lowfold"
    assert [(r.text, r.part, r.form, r.via) for r in enquiry.readings] == [
        ("K36", "tag", "stamped", "heard"),
        ("2063", "bowl", "", "seen"),
    ]
    look, measure = enquiry.looks
    assert (look.feature, look.value, look.via, look.coached) == ("inlet side", "left", "heard", True)
    assert measure.value == pytest.approx(60.325)
    assert (measure.tool, measure.coached) == ("caliper", False)


def test_a_spread_may_stand_for_a_tool(weigher: Weigher) -> None:
    (look,) = enquiry_of(weigher, [Item("measure", "bolt spacing=60.5 ±0.3")], {}).looks
    assert (look.value, look.spread, look.tool) == (60.5, 0.3, "")


def test_not_sure_is_an_answer(weigher: Weigher) -> None:
    (look,) = enquiry_of(weigher, [Item("look", "inlet side=cannot see")], {}).looks
    assert look.value == "cannot see"


def test_typed_options_reach_the_items_in_their_order() -> None:
    one = run("--reading", "K36/118", "--part", "tag", "--reading=2063", "--part=bowl", "--form", "cast")
    other = run("--reading", "K36/118", "--part", "bowl", "--reading=2063", "--part=tag", "--form", "cast")
    assert one.exit_code == other.exit_code == 0
    assert "The number on the tag reads K36/118" in plain(one.stdout)
    assert "The number on the bowl reads K36/118" in plain(other.stdout)


def test_unknown_words_carry_every_fault(weigher: Weigher) -> None:
    with pytest.raises(UnknownWords) as caught:
        enquiry_of(weigher, [Item("look", "nothing=left"), Item("look", "inlet side=up")], {})
    assert len(caught.value.says) == 2


def test_no_evidence_is_no_enquiry_with_a_name(weigher: Weigher) -> None:
    assert enquiry_of(weigher, [], {}) == Enquiry()
