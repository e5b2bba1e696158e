"""Each story comes out as told, step by step; also renamed; and with its deciding look reversed the answer follows."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

import pytest

from floatbowl.demo.stories import Step, Story, enquiry_after, read_stories
from floatbowl.identify.answer import Answer
from floatbowl.reference.facts import Reference
from floatbowl.reference.observed import Enquiry

STORIES = read_stories()
STEPS = [
    pytest.param(story, steps, id=f"{story.key}-{steps}")
    for story in STORIES
    for steps in range(1, len(story.steps) + 1)
]
#: From here on a standing says "built from two" outright.
FLAGGED = 0.5
EVEN = 0.15


@cache
def weigher_for(world: Any) -> Any:
    from floatbowl.identify import weigh

    return weigh.Weigher(world.reference)


def answer_to(world: Any, enquiry: Enquiry) -> Answer:
    from floatbowl.identify import consult

    answer: Answer = consult.consult(weigher_for(world), enquiry)
    return answer


def told(world: Any, renamed_enquiry: Any, story: Story, steps: Iterable[Step]) -> Answer:
    return answer_to(world, renamed_enquiry(enquiry_after(story.key, steps), world))


def share_of(answer: Answer, key: str) -> float:
    return next((chance.probability for chance in answer.carburettors if chance.key == key), 0.0)


def rivals(reference: Reference, kit: str) -> set[str]:
    """The kits of the same level and fuel: one of them is the one to send."""
    kinds = {row.kit: (row.level, row.fuel) for row in reference.kits}
    return {other for other, kind in kinds.items() if kind == kinds[kit]}


def leading_kit(answer: Answer, among: set[str]) -> str:
    return max((chance for chance in answer.kits if chance.key in among), key=lambda chance: chance.probability).key


def check(answer: Answer, expect: Any, world: Any) -> None:
    """Fails with the whole standing when something expected did not come out."""
    advice, standing = (
        answer.advice,
        f"{answer.advice}\n{answer.carburettors[:4]}\n{answer.kits[:6]} mixed {answer.mixed}",
    )
    if "actions" in expect:
        assert advice.action in expect["actions"], standing
    if "carburettors" in expect:
        assert answer.carburettors[0].key in {world.key(key) for key in expect["carburettors"]}, standing
    if "kit" in expect:
        assert advice.kit == world.key(expect["kit"]), standing
    if "leading_kit" in expect:
        kit = world.key(expect["leading_kit"])
        assert leading_kit(answer, rivals(world.reference, kit)) == kit, standing
    if "ask_features" in expect and advice.action == "ask":
        assert advice.ask_feature in expect["ask_features"], standing
    if "even" in expect:
        first, second = (share_of(answer, world.key(key)) for key in expect["even"])
        assert abs(first - second) <= EVEN, standing
        assert min(first, second) > EVEN, standing
    check_flags(answer, expect, standing)


def check_flags(answer: Answer, expect: Any, standing: str) -> None:
    if "mixed" in expect:
        assert (answer.mixed >= FLAGGED) == expect["mixed"], standing
    if expect.get("contradiction"):
        assert answer.contradictions, standing
    if expect.get("warning"):
        assert answer.warnings, standing
    if expect.get("no_kit"):
        assert advice_without_kit(answer), standing
        assert answer.no_kit > FLAGGED, standing


def advice_without_kit(answer: Answer) -> bool:
    return answer.advice.kit is None and answer.advice.action != "send"


@pytest.mark.parametrize(("story", "steps"), STEPS)
def test_a_story_comes_out_as_told(story: Story, steps: int, world: Any, in_world: Any) -> None:
    answer = told(world, in_world, story, story.steps[:steps])
    check(answer, story.steps[steps - 1].expect, world)


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.key)
def test_with_the_deciding_look_reversed_the_answer_follows(story: Story, world: Any, in_world: Any) -> None:
    answer = told(world, in_world, story, story.reversed_steps)
    check(answer, story.deciding.expect, world)


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.key)
def test_the_deciding_look_matters(story: Story) -> None:
    """Reversed, another carburettor is expected than where the step is as told: no story decides nothing."""
    as_told = [step.expect["carburettors"] for step in story.steps if "carburettors" in step.expect]
    expected = story.deciding.expect["carburettors"]
    assert expected not in as_told[story.deciding_step - 1 :] or story.deciding.expect.get("mixed") is False
