"""What holds for every test: no clock decides, since machines differ in speed."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

#: Examples of each property: what a dozen minutes on two cores allow. ``--hypothesis-profile thorough`` tries more.
EXAMPLES = 25
MANY_EXAMPLES = 400
UNHURRIED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

settings.register_profile("unhurried", UNHURRIED, max_examples=EXAMPLES)
settings.register_profile("thorough", UNHURRIED, max_examples=MANY_EXAMPLES)
settings.load_profile("unhurried")
