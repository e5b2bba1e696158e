"""What holds for every test: no clock decides, since machines differ in speed."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, settings

#: Examples of each property: what a dozen minutes on two cores allow. ``--hypothesis-profile thorough`` tries more.
EXAMPLES = 12
MANY_EXAMPLES = 400
UNHURRIED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

settings.register_profile("unhurried", UNHURRIED, max_examples=EXAMPLES)
settings.register_profile("thorough", UNHURRIED, max_examples=MANY_EXAMPLES)
settings.load_profile("unhurried")

#: Files whose few tests take long: first, so that no worker is left alone with one of them at the end.
LONG_FIRST = (
    "test_kill_nine.py",
    "test_deliberate_faults.py",
    "test_demo_command.py",
    "test_refit_command.py",
    "test_stories.py",
    "test_pack_round_trip.py",
    "test_serve_pages.py",
    "test_twelve_stories.py",
    "test_photographs_in_a_browser.py",
    "test_bench_on_a_telephone.py",
    "test_office_by_hand.py",
    "test_shelf_in_a_browser.py",
    "test_everybody_can_use_it.py",
    "test_refit.py",
    "test_posterior.py",
    "test_identify_command.py",
    "test_plans_and_orders.py",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Long files first; the others stay in their order."""
    places = {name: place for place, name in enumerate(LONG_FIRST)}
    items.sort(key=lambda item: places.get(item.path.name, len(places)))
