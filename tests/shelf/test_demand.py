"""Pooled demand: proper chances, drawn between a line's own past and its group's, right where its assumptions hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_orders import RECORDS, TABLES, shelf
from scipy import stats

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.compound import Sizes, compound, one_order_more
from floatbowl.shelf.counts import Pooling, count
from floatbowl.shelf.demand import before_an_order, demand_over, expect
from floatbowl.shelf.orders import Orders, orders_from_months
from floatbowl.shelf.prior import fit_gamma, fit_size_weight

PLAIN = Pooling(discount=1.0, size_discount=1.0, correct=False)
ONES = Sizes(
    own_start=np.array([0, 0]),
    own_size=np.array([], np.int64),
    own_count=np.array([]),
    group=np.array([0]),
    group_start=np.array([0, 1]),
    group_size=np.array([1]),
    group_share=np.array([1.0]),
    weight=np.array([1.0]),
)


@settings(max_examples=30, deadline=None)
@given(RECORDS, st.floats(0.2, 12), st.floats(0.6, 1.0), st.floats(0.1, 4))
def test_chances_are_chances_and_sum_to_one(record: Orders, months: float, discount: float, spread: float) -> None:
    demand = expect(record, Pooling(discount=discount, size_discount=discount, spread=spread))
    for table in (demand_over(demand, months), *before_an_order(demand, months)):
        assert table.chance.min() >= 0
        assert np.allclose([table.of(line).sum() for line in range(table.lines)], 1, atol=1e-9)


@settings(max_examples=20, deadline=None)
@given(RECORDS, st.floats(0.2, 6))
def test_tables_have_the_mean_the_forecast_says(record: Orders, months: float) -> None:
    demand = expect(record)
    assert np.allclose(demand_over(demand, months).mean(), months * demand.units_a_month, rtol=2e-3, atol=1e-4)


@settings(max_examples=30, deadline=None)
@given(RECORDS)
def test_a_rate_lies_between_the_lines_own_and_the_groups(record: Orders) -> None:
    demand = expect(record, PLAIN)
    own, group = demand.own_orders / demand.own_months, demand.groups[0].orders_a_month
    # Where a month has one order at most, 98 in 100 months are the most that is believed.
    assert np.all(demand.orders_a_month >= np.minimum(np.minimum(own, group), 0.98) - 1e-12)
    assert np.all(demand.orders_a_month <= np.maximum(own, group) + 1e-12)


@settings(max_examples=20, deadline=None)
@given(TABLES, st.data())
def test_more_orders_of_a_line_never_expect_less_of_it(rows: list[list[int]], data: st.DataObject) -> None:
    line = data.draw(st.integers(0, len(rows) - 1))
    month = data.draw(st.integers(0, len(rows[0]) - 1))
    more = [list(row) for row in rows]
    more[line][month] += 1
    counts = count(orders_from_months(more), PLAIN)
    assert counts.orders[line] >= count(orders_from_months(rows), PLAIN).orders[line]


@given(st.floats(0.2, 30), st.floats(0.2, 60), st.floats(0.1, 6))
@settings(max_examples=20, deadline=None)
def test_orders_of_one_are_a_negative_binomial(shape: float, months: float, over: float) -> None:
    # scipy's negative binomial, of the gamma-Poisson's own parameters.
    table = compound(np.array([shape]), np.array([months]), over, ONES)
    known = stats.nbinom.pmf(np.arange(len(table.chance) - 1), shape, months / (months + over))
    assert np.allclose(table.chance[:-1], known, atol=1e-12)
    for share in (0.5, 0.9, 0.99):
        assert table.quantile(share)[0] == stats.nbinom.ppf(share, shape, months / (months + over))


@given(st.floats(0.05, 30), st.floats(0.05, 30), st.integers(0, 12))
@settings(max_examples=20, deadline=None)
def test_orders_of_one_by_months_are_beta_binomial(alpha: float, beta: float, months: int) -> None:
    # scipy's beta-binomial.
    table = compound(np.array([alpha]), np.array([alpha + beta]), float(months), ONES, by_month=True)
    known = stats.betabinom.pmf(np.arange(months + 1), months, alpha, beta)
    assert np.allclose(table.chance[: months + 1], known, atol=1e-12)
    assert table.chance[months + 1 :].max() < 1e-12
    # Half a month more counts half a month.
    later = compound(np.array([alpha]), np.array([alpha + beta]), months + 0.5, ONES, by_month=True)
    assert later.mean()[0] == pytest.approx((months + 0.5) * alpha / (alpha + beta), abs=1e-9)


def test_very_many_orders_are_still_a_negative_binomial() -> None:
    # "None at all" has a chance of about 10^-1700 here: too small to begin a sum with.
    table = compound(np.array([2000.0]), np.array([1.0]), 9.0, ONES)
    known = stats.nbinom.cdf([17_000, 18_000, 19_000], 2000, 0.1)
    got = [float(table.at_most(np.array([units]))[0]) for units in (17_000, 18_000, 19_000)]
    assert got == pytest.approx(known, abs=1e-7)


def test_orders_of_several_sizes_against_drawing_them() -> None:
    sizes = Sizes(
        own_start=np.array([0, 2]),
        own_size=np.array([2, 5]),
        own_count=np.array([3.0, 1.0]),
        group=np.array([0]),
        group_start=np.array([0, 2]),
        group_size=np.array([1, 2]),
        group_share=np.array([0.75, 0.25]),
        weight=np.array([4.0]),
    )
    share = {1: 4 * 0.75 / 8, 2: (3 + 4 * 0.25) / 8, 5: 1 / 8}
    chance = np.random.default_rng(3)
    number = chance.poisson(chance.gamma(2.5, 1 / 3.0, 200_000) * 4)
    units = np.array([0, *np.cumsum(chance.choice(list(share), number.sum(), p=list(share.values())))])
    drawn = np.diff(units[np.concatenate(([0], np.cumsum(number)))])
    table = compound(np.array([2.5]), np.array([3.0]), 4.0, sizes)
    assert table.chance[:20] == pytest.approx(np.bincount(drawn, minlength=20)[:20] / len(drawn), abs=0.004)
    assert sizes.moments()[0][0] == pytest.approx(sum(size * part for size, part in share.items()))
    more = one_order_more(table, sizes)
    assert more.mean()[0] - table.mean()[0] == pytest.approx(sizes.moments()[0][0], rel=1e-4)


def test_the_prior_of_invented_lines_is_found_again() -> None:
    # 4,000 lines of gamma(0.8, mean 0.4 a month) and geometric sizes of mean 1.6, all alike.
    demand = expect(shelf(4000, 40, seed=1), PLAIN)
    prior = demand.groups[0]
    # Told by what followed, from the last eight months alone; and by the marginal likelihood, from all 40.
    assert prior.shape == pytest.approx(0.8, rel=0.3)
    shape, months = fit_gamma(demand.own_orders, demand.own_months)
    assert shape == pytest.approx(0.8, rel=0.08)
    assert shape / months == pytest.approx(0.4, rel=0.05)
    assert prior.orders_a_month == pytest.approx(0.4, rel=0.05)
    assert prior.size @ prior.share == pytest.approx(1.6, rel=0.02)
    assert prior.size_weight > 20


def test_chances_hold_where_the_assumptions_do() -> None:
    record = shelf(3000, 40, seed=2)
    known = record.until(36)
    table = demand_over(expect(known, PLAIN), 4)
    came = record.monthly()[:, 36:].sum(axis=1)
    below, upto = table.at_most(came - 1), table.at_most(came)
    pit = below + np.random.default_rng(0).random(len(came)) * (upto - below)
    # Of 3,000 values the largest distance from even is below 1.63 / sqrt(n) in 99 of 100 cases (Kolmogorov).
    assert stats.kstest(pit, "uniform").statistic < 1.63 / np.sqrt(len(pit))


def test_sizes_that_differ_between_lines_weigh_less_on_one_another() -> None:
    line, times = np.repeat(np.arange(40), 2), np.full(80, 3.0)
    alike = np.tile([1, 3], 40)
    apart = np.where(line % 2 == 0, 1, 9) + np.tile([0, 1], 40)
    assert fit_size_weight(line, alike, times) > 20
    assert fit_size_weight(line, apart, times) < 1


def test_a_gamma_is_found_for_lines_all_alike() -> None:
    shape, months = fit_gamma(np.full(50, 12.0), np.full(50, 24.0))
    assert shape / months == pytest.approx(0.5, rel=0.05)
    assert np.isfinite(shape)


def test_the_past_counts_less_and_a_new_line_is_not_a_slow_one() -> None:
    early, late = [[4, 0, 0, 0, 0, 0], [0, 0, 0, 0, 0, 4]]
    told = expect(orders_from_months([early, late]), Pooling(correct=False)).orders_a_month
    assert told[1] > told[0]
    new = orders_from_months([[0, 0, 0, 0, 0, 1]] * 2, known_from=[0, 5])
    rate = expect(new, PLAIN).orders_a_month
    assert rate[1] > rate[0]


def test_a_line_may_be_taken_as_known_from_its_first_order() -> None:
    record = orders_from_months([[0, 0, 0, 0, 1, 1], [1, 0, 0, 0, 0, 1], [0, 0, 0, 0, 0, 0]])
    plain = count(record, PLAIN)
    since = count(record, Pooling(discount=1.0, size_discount=1.0, before_first=1))
    assert plain.months.tolist() == [6, 6, 6]
    assert since.months.tolist() == [3, 6, 1]
    assert since.orders.tolist() == plain.orders.tolist()


@settings(max_examples=20, deadline=None)
@given(RECORDS, st.floats(0.5, 1.0))
def test_discounted_orders_are_worth_no_more_than_they_are(record: Orders, discount: float) -> None:
    counts = count(record, Pooling(size_discount=discount))
    worth = counts.size_count * counts.size_worth[counts.size_line]
    told, came = (np.bincount(counts.size_line, what, minlength=record.lines) for what in (worth, counts.size_times))
    assert np.all(told <= came + 1e-9)
    assert np.all(told >= (came > 0) * (1 - 1e-9))


def test_groups_are_learnt_apart() -> None:
    slow, quick = shelf(200, 30, seed=4, a_month=0.1), shelf(200, 30, seed=5, a_month=2.0)
    both = np.concatenate([slow.monthly(), quick.monthly()])
    demand = expect(orders_from_months(both), PLAIN, group=np.repeat([0, 1], 200))
    assert demand.groups[1].orders_a_month > 5 * demand.groups[0].orders_a_month
    idle = demand_over(demand, 4).mean()
    assert idle[:200].mean() < idle[200:].mean()


def test_a_shelf_that_is_asked_less_and_less_is_brought_down() -> None:
    chance = np.random.default_rng(6)
    falling = chance.poisson(np.outer(chance.gamma(2, 0.5, 400), 0.96 ** np.arange(48)))
    record = orders_from_months(falling)
    plain = expect(record, Pooling(correct=False)).units_a_month.sum()
    brought = expect(record)
    true = falling[:, -1].sum() * 0.96
    assert brought.missed_by < 0.97
    assert abs(brought.units_a_month.sum() - true) < abs(plain - true)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(Refused, match="no orders are on record"):
        expect(orders_from_months([[0, 0]]))
    with pytest.raises(Refused, match="line 0, month 1 holds -1"):
        orders_from_months([[0, -1]])
    with pytest.raises(Refused, match="groups must be 1 whole numbers"):
        expect(orders_from_months([[1, 2]]), group=np.array([0, 1]))
    with pytest.raises(Refused, match="discount"):
        Pooling(discount=0.2)
    with pytest.raises(Refused, match="month 9 is outside the record"):
        orders_from_months([[1, 2]]).until(9)
    many = expect(orders_from_months([[2_000_000, 2_000_000]]))
    with pytest.raises(Refused, match="count it in packs"):
        demand_over(many, 4)
