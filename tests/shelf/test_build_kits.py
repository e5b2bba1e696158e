"""What to build: against every possible plan on small shelves, and never more than parts and minutes allow."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.build_kits import Aim, Buildable, Plan, build_plan, held_back
from floatbowl.shelf.recipes import Recipe

PARTS = ("needle", "washer", "bowl gasket")


def kit(name: str, earns: float, minutes: float, chances: tuple[float, ...], **parts: float) -> Buildable:
    needs = tuple((part.replace("_", " "), quantity) for part, quantity in parts.items())
    return Buildable(recipe=Recipe(name, needs), earns=earns, minutes=minutes, chances=chances)


@st.composite
def shelves(draw: st.DrawFn) -> tuple[list[Buildable], dict[str, float], float]:
    kits = []
    for number in range(draw(st.integers(1, 3))):
        parts = draw(st.dictionaries(st.sampled_from(PARTS), st.integers(1, 3).map(float), min_size=1))
        chances = sorted(draw(st.lists(st.sampled_from([0.0, 0.2, 0.5, 0.9, 1.0]), max_size=3)), reverse=True)
        kits.append(
            Buildable(
                recipe=Recipe(f"K{number}", tuple(parts.items())),
                earns=float(draw(st.integers(-2, 20))),
                minutes=float(draw(st.integers(0, 6))),
                chances=tuple(chances),
            )
        )
    on_hand = draw(st.dictionaries(st.sampled_from(PARTS), st.integers(0, 8).map(float)))
    return kits, on_hand, draw(st.sampled_from([0.0, 5.0, 12.0, math.inf]))


def allowed(kits: list[Buildable], counts: tuple[int, ...], on_hand: dict[str, float], minutes: float) -> bool:
    used = dict.fromkeys(PARTS, 0.0)
    for each, count in zip(kits, counts, strict=True):
        for part, quantity in each.recipe.parts:
            used[part] += count * quantity
    enough = all(amount <= on_hand.get(part, 0.0) for part, amount in used.items())
    return enough and sum(count * each.minutes for each, count in zip(kits, counts, strict=True)) <= minutes


def every_plan(kits: list[Buildable], on_hand: dict[str, float], minutes: float, aim: Aim) -> float:
    """The most that any plan gains, by trying all of them."""
    ranges = [range(len(each.chances) + 1) for each in kits]
    return max(
        sum(each.gains(count, aim) for each, count in zip(kits, counts, strict=True))
        for counts in itertools.product(*ranges)
        if allowed(kits, counts, on_hand, minutes)
    )


def as_counts(kits: list[Buildable], plan: Plan) -> tuple[int, ...]:
    built = dict(plan.build)
    return tuple(built.get(each.recipe.kit, 0) for each in kits)


@settings(max_examples=40, deadline=None)
@given(shelves(), st.sampled_from(["earn", "fill"]))
def test_no_plan_gains_more_and_the_plan_can_be_carried_out(
    shelf: tuple[list[Buildable], dict[str, float], float], aim: Aim
) -> None:
    kits, on_hand, minutes = shelf
    found = build_plan(kits, on_hand, minutes, aim=aim)
    best = every_plan(kits, on_hand, minutes, aim)
    assert found.proven
    assert found.best.gains == pytest.approx(best, rel=2e-4, abs=1e-6)
    assert found.bound >= best - 1e-6
    assert found.simple.gains <= found.best.gains
    for plan in (found.best, found.simple):
        assert allowed(kits, as_counts(kits, plan), on_hand, minutes)


def test_the_simple_rule_can_be_beaten() -> None:
    """The dear kit takes both needles; two cheaper kits with one each earn more."""
    kits = [
        kit("dear", 10, 1, (1.0,), needle=2),
        kit("first", 7, 1, (1.0,), needle=1),
        kit("second", 7, 1, (1.0,), needle=1, washer=1),
    ]
    found = build_plan(kits, {"needle": 2, "washer": 1})
    assert found.simple.build == (("dear", 1),)
    assert found.best.build == (("first", 1), ("second", 1))
    assert (found.best.gains, found.simple.gains, found.proven) == (14, 10, True)


def test_bench_time_decides_when_it_is_short() -> None:
    kits = [kit("slow", 10, 9, (1.0, 1.0), needle=1), kit("quick", 6, 3, (1.0, 1.0, 1.0), needle=1)]
    assert build_plan(kits, {"needle": 9}, 9).best.build == (("quick", 3),)
    assert build_plan(kits, {"needle": 9}, 27).best.build == (("slow", 2), ("quick", 3))


def test_filling_most_is_not_earning_most() -> None:
    kits = [kit("dear", 50, 1, (0.6,), needle=1), kit("cheap", 5, 1, (0.9,), needle=1)]
    assert build_plan(kits, {"needle": 1}, aim="earn").best.build == (("dear", 1),)
    assert build_plan(kits, {"needle": 1}, aim="fill").best.build == (("cheap", 1),)


def test_a_second_kit_that_seldom_sells_gives_way() -> None:
    kits = [kit("seller", 10, 1, (1.0, 0.1), needle=1), kit("other", 4, 1, (0.8,), needle=1)]
    assert build_plan(kits, {"needle": 2}).best.build == (("seller", 1), ("other", 1))


def test_what_holds_more_back_is_told() -> None:
    kits = [kit("A", 5, 4, (1.0, 1.0, 1.0), needle=1, washer=2), kit("B", 5, 4, (1.0,), washer=1)]
    on_hand = {"needle": 9.0, "washer": 5.0}
    plan = build_plan(kits, on_hand, 60).best
    assert dict(plan.build) == {"A": 2, "B": 1}
    (held,) = held_back(plan, kits, on_hand, 60)
    assert (held.kit, held.wanted, held.built, held.parts, held.time) == ("A", 3, 2, ("washer",), False)
    (by_time,) = held_back(build_plan(kits[:1], on_hand, 4).best, kits[:1], on_hand, 4)
    assert (by_time.parts, by_time.time) == ((), True)


def test_a_part_by_the_metre_is_counted_out() -> None:
    packing = kit("P", 1, 0, (1.0,) * 5, cord=0.1)
    assert build_plan([packing], {"cord": 0.3}).best.build == (("P", 3),)


def test_nothing_to_build_is_a_plan() -> None:
    for found in (build_plan([], {}), build_plan([kit("A", 5, 1, (1.0,), needle=1)], {})):
        assert (found.best.build, found.gap, found.proven) == ((), 0.0, True)


def test_when_time_runs_out_the_gap_is_stated_and_the_plan_is_no_worse_than_the_simple_one() -> None:
    draw = random.Random(5)
    parts = [f"p{number}" for number in range(40)]
    kits = []
    for number in range(120):
        needs = tuple((part, float(draw.randint(1, 3))) for part in draw.sample(parts, 6))
        kits.append(
            Buildable(recipe=Recipe(f"K{number}", needs), earns=draw.uniform(8, 12), minutes=1, chances=(1.0,) * 3)
        )
    found = build_plan(kits, dict.fromkeys(parts, 25.0), time_limit_s=0.05)
    assert found.best.gains >= found.simple.gains > 0
    assert found.bound >= found.best.gains
    assert found.gap == pytest.approx(1 - found.best.gains / found.bound)
    assert found.proven == (found.gap <= 1e-4)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"chances": (0.2, 0.5)}, "the chances rise"),
        ({"chances": (1.2,)}, "must be between 0 and 1"),
        ({"minutes": -1.0}, "must be at least 0 minutes"),
        ({"earns": math.nan}, "no number"),
    ],
)
def test_what_cannot_be_is_refused(wrong: dict[str, object], says: str) -> None:
    right: dict[str, object] = {
        "recipe": Recipe("K", (("needle", 1.0),)),
        "earns": 1.0,
        "minutes": 1.0,
        "chances": (1.0,),
    }
    with pytest.raises(Refused, match=says):
        Buildable(**{**right, **wrong})  # type: ignore[arg-type]


def test_a_kit_told_twice_is_refused() -> None:
    one = kit("A", 5, 1, (1.0,), needle=1)
    with pytest.raises(Refused, match="kit A is told twice"):
        build_plan([one, one], {"needle": 2})
