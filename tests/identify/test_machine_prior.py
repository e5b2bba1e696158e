"""What a machine says: options, serial numbers with doubt, years, names as typed. It orders and never decides."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shop import Known, shop

from floatbowl.identify.machines import compile_machines, find_machines, machine_of
from floatbowl.identify.weigh import Standing, Weigher
from floatbowl.reference.facts import CameOn, Machine, Reference
from floatbowl.reference.observed import Enquiry

LOWFOLD = Machine(machine="lowfold", make="Drumlow", model="Lowfold")
HIGHFOLD = Machine(machine="highfold", make="Drumlow", model="Highfold")
ORCHARD = Machine(machine="orchard", make="Ardwath", model="Eastacre Orchard")


def machines(*rows: CameOn) -> Reference:
    return shop(*(Known(key) for key in "abcd"), machines=(LOWFOLD, HIGHFOLD, ORCHARD), came_on=rows)


def came(carburettor: str, **more: object) -> CameOn:
    return CameOn(machine="lowfold", carburettor=carburettor, **more)  # type: ignore[arg-type]


def weigh(reference: Reference, **enquiry: object) -> Standing:
    return Weigher(reference).weigh(Enquiry(**enquiry))  # type: ignore[arg-type]


def prior(standing: Standing, key: str) -> float:
    return float(standing.prior[standing.weigher.catalogue.at[key]])


def test_options_share_by_their_shares() -> None:
    standing = weigh(machines(came("a", share=3.0), came("b", share=1.0)), machine="lowfold")
    swapped = prior(standing, "c")
    assert swapped > 0
    assert (prior(standing, "a") - swapped) / (prior(standing, "b") - swapped) == pytest.approx(3.0)


def test_without_shares_options_are_equal_and_one_in_two_rows_counts_twice() -> None:
    equal = weigh(machines(came("a"), came("b")), machine="lowfold")
    assert prior(equal, "a") == pytest.approx(prior(equal, "b"))
    twice = weigh(machines(came("a", how="factory"), came("a", how="option"), came("b")), machine="lowfold")
    assert prior(twice, "a") > prior(twice, "b")


def test_a_serial_number_picks_its_range() -> None:
    reference = machines(
        came("a", serial_to="30000", serial_doubt=500.0), came("b", serial_from="30001", serial_doubt=500.0)
    )
    early = weigh(reference, machine="lowfold", serial="20417")
    late = weigh(reference, machine="lowfold", serial="44100")
    middle = weigh(reference, machine="lowfold", serial="30000")
    none = weigh(reference, machine="lowfold")
    assert prior(early, "a") > 5 * prior(early, "b")
    assert prior(late, "b") > 5 * prior(late, "a")
    assert prior(middle, "a") == pytest.approx(prior(middle, "b"), rel=0.01)
    assert prior(none, "a") == pytest.approx(prior(none, "b"))
    assert prior(late, "a") > 0


@given(st.lists(st.integers(29_000, 31_000), min_size=2, max_size=6).map(sorted))
def test_the_further_in_the_range_the_likelier(serials: list[int]) -> None:
    reference = machines(came("a", serial_to="30000", serial_doubt=500.0), came("b"))
    chances = [prior(weigh(reference, machine="lowfold", serial=str(serial)), "a") for serial in serials]
    assert chances == sorted(chances, reverse=True)


def test_a_range_without_doubt_is_sharp_but_never_certain() -> None:
    reference = machines(came("a", serial_from="100", serial_to="200"), came("b", serial_from="201"))
    assert prior(weigh(reference, machine="lowfold", serial="200"), "a") > prior(
        weigh(reference, machine="lowfold", serial="201"), "a"
    )
    assert prior(weigh(reference, machine="lowfold", serial="201"), "a") > prior(
        weigh(reference, machine="lowfold", serial="201"), "c"
    )


@pytest.mark.parametrize("serial", ["", "no plate", "GZ-", "🔧", "9" * 400, "٣٤"])
def test_odd_serial_numbers_do_no_harm(serial: str) -> None:
    standing = weigh(
        machines(came("a", serial_to="30000", serial_doubt=500.0), came("b")), machine="lowfold", serial=serial
    )
    assert float(standing.posterior.sum()) == pytest.approx(1.0)


def test_letters_around_a_serial_number_are_passed_over() -> None:
    reference = machines(came("a", serial_to="L30000"), came("b", serial_from="L30001"))
    assert prior(weigh(reference, machine="lowfold", serial="l 20417"), "a") == prior(
        weigh(reference, machine="lowfold", serial="20417"), "a"
    )


def test_years_with_a_year_of_doubt() -> None:
    reference = machines(came("a", year_from=1940, year_to=1948), came("b", year_from=1949))
    assert prior(weigh(reference, machine="lowfold", year=1943), "a") > 5 * prior(
        weigh(reference, machine="lowfold", year=1943), "b"
    )
    assert prior(weigh(reference, machine="lowfold", year=1960), "b") > 5 * prior(
        weigh(reference, machine="lowfold", year=1960), "a"
    )
    near = weigh(reference, machine="lowfold", year=1949)
    assert prior(near, "a") > 0.1 * prior(near, "b")


@pytest.mark.parametrize(
    ("typed", "machine"),
    [
        ("Drumlow Lowfold", "lowfold"),
        ("drumlow lowfold", "lowfold"),
        ("lowfold", "lowfold"),
        ("Drumlow Lofold", "lowfold"),
        ("Ardwath Eastacre Orchard", "orchard"),
        ("a grey one", None),
        ("Drumlow", None),
        ("", None),
        ("🔧", None),
        ("x" * 5000, None),
    ],
)
def test_a_machine_as_typed(typed: str, machine: str | None) -> None:
    known = compile_machines(machines())
    assert machine_of(known, Enquiry(machine_text=typed)) == machine


def test_machines_are_found_while_typing() -> None:
    known = compile_machines(machines())
    assert {key for key, _ in find_machines(known, "drumlow")} == {"lowfold", "highfold"}
    assert find_machines(known, "zzzz") == ()


def test_a_machine_nobody_recorded_makes_unlisted_ones_likelier_and_keeps_the_order() -> None:
    reference = machines(came("a"))
    nothing, unknown = weigh(reference), weigh(reference, machine_text="a home-made one")
    assert unknown.machine is None
    assert unknown.not_listed > nothing.not_listed
    assert prior(unknown, "a") == pytest.approx(prior(unknown, "b"))


def test_a_machine_with_carburettors_unknown_to_the_records_says_nothing_about_those_recorded() -> None:
    standing = weigh(machines(came("gone")), machine="lowfold")
    assert prior(standing, "a") == pytest.approx(prior(standing, "b"))


def test_the_machine_never_decides() -> None:
    """Every other recorded carburettor keeps a chance; what it came with has the most."""
    standing = weigh(machines(came("a")), machine="lowfold")
    assert all(prior(standing, key) > 0.01 for key in "bcd")
    assert prior(standing, "a") > 0.5
