"""What to pick up next, and what waits for whom."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from floatbowl.bench.bench_list import Waiting, in_order_of_work
from floatbowl.bench.steps import steps

TODAY = date(2026, 3, 2)
DAYS = st.integers(-40, 40).map(lambda days: TODAY + timedelta(days))
JOBS = st.builds(
    Waiting,
    number=st.integers(1, 10_000),
    step=st.sampled_from([step.key for step in steps()]),
    promised=st.none() | DAYS,
    held_until=st.none() | DAYS,
    held_for=st.sampled_from(["", "Priya Collis"]),
)


def test_what_is_promised_first_comes_first_and_what_is_begun_is_finished() -> None:
    late = Waiting(number=1, step="booked-in", promised=TODAY - timedelta(2))
    soon = Waiting(number=2, step="booked-in", promised=TODAY + timedelta(1))
    further = Waiting(number=3, step="build", promised=TODAY + timedelta(1))
    open_end = Waiting(number=4, step="wet-bench")
    at_hand, waiting = in_order_of_work([open_end, soon, further, late])
    assert [job.number for job in at_hand] == [1, 3, 2, 4]
    assert waiting == ()


def test_a_hold_that_has_run_out_heads_those_that_wait() -> None:
    due = Waiting(number=1, step="wash", held_for="Hal", held_until=TODAY - timedelta(1))
    later = Waiting(number=2, step="wash", held_for="Hal", held_until=TODAY + timedelta(9))
    without = Waiting(number=3, step="wash", held_for="the owner")
    assert [job.number for job in in_order_of_work([without, later, due])[1]] == [1, 2, 3]


@given(st.lists(JOBS, max_size=30))
def test_every_job_is_on_one_of_the_lists_once(jobs: list[Waiting]) -> None:
    at_hand, waiting = in_order_of_work(jobs)
    assert sorted(map(repr, (*at_hand, *waiting))) == sorted(map(repr, jobs))
    assert not any(job.on_hold for job in at_hand)
    assert all(job.on_hold for job in waiting)
