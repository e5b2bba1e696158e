"""Order quantities, (r, Q), (s, S), the newsvendor and base stock against published figures.

SNYDER: L. V. Snyder, Z.-J. M. Shen, "Fundamentals of Supply Chain Theory", 2nd ed.: a published textbook's examples, as
read in the tests of a general inventory library (stockpyl 1.0.2, MIT), run again there. ZHENG: Y.-S. Zheng,
A. Federgruen, Operations Research 39, 1991: their table, as read in the same library's tests, run again there.
"""

from __future__ import annotations

import pytest

from floatbowl.shelf import base_stock, newsvendor, order_quantity, r_q, s_s

BREAKS, UNIT_COSTS = (0, 400, 800), (0.75, 0.72, 0.68)
NORMAL = r_q.Normal(h=0.225, p=7.5, k=8, demand=1300, sd=150, lead_time=1 / 12)


def test_economic_order_quantity() -> None:
    # SNYDER example 3.1: Q* and cost a year; within 1e-6.
    best = order_quantity.economic_order_quantity(8, 0.225, 1300)
    assert best.quantity == pytest.approx(304.0467800264368, abs=1e-6)
    assert best.cost == pytest.approx(68.41052550594827, abs=1e-6)


def test_with_backorders() -> None:
    # SNYDER example 3.8: Q*, share waiting, cost; within 1e-6.
    best = order_quantity.with_backorders(8, 0.225, 5, 1300)
    assert best.quantity == pytest.approx(310.8125551589646, abs=1e-6)
    assert best.share_waiting == pytest.approx(0.043062200956938, abs=1e-6)
    assert best.cost == pytest.approx(66.92136355097325, abs=1e-6)


def test_all_units_discount() -> None:
    # SNYDER example 3.6: Q*, step of the price list, cost with the goods; within 0.01.
    best = order_quantity.all_units_discount(8, 0.3, 1300, BREAKS, UNIT_COSTS)
    assert (best.quantity, best.region) == (800, 2)
    assert best.cost == pytest.approx(978.6, abs=0.01)


def test_incremental_discount() -> None:
    # SNYDER example 3.7: Q*, step, cost with the goods; within 1e-5.
    best = order_quantity.incremental_discount(8, 0.3, 1300, BREAKS, UNIT_COSTS)
    assert best.region == 0
    assert best.quantity == pytest.approx(304.04678003, abs=1e-5)
    assert best.cost == pytest.approx(1043.41052551, abs=1e-5)


def test_lot_sizes() -> None:
    # SNYDER example 3.9 (Wagner and Whitin): orders and cost; exact.
    plan = order_quantity.lot_sizes(500, 2, [90, 120, 80, 70])
    assert plan.orders == (210, 0, 150, 0)
    assert plan.cost == 1380


def test_newsvendor_normal() -> None:
    # SNYDER example 4.3: S*, cost; within 1e-5.
    best = newsvendor.normal(0.18, 0.7, 50, 8)
    assert best.level == pytest.approx(56.60395592743389, abs=1e-5)
    assert best.cost == pytest.approx(1.997605193176645, abs=1e-5)


def test_newsvendor_normal_at_another_level() -> None:
    # SNYDER example 4.3: cost of S = 40; within 1e-6.
    assert newsvendor.normal_cost(40, 0.18, 0.7, 50, 8) == pytest.approx(7.356131552870388, abs=1e-6)


def test_newsvendor_poisson() -> None:
    # SNYDER example 4.7: S*, cost; within 1e-6.
    best = newsvendor.by_poisson(1, 4, 6)
    assert best.level == 8
    assert best.cost == pytest.approx(3.570106945770946, abs=1e-6)


def test_s_s_exact() -> None:
    # SNYDER example 4.7, its (s, S): s, S, cost; within 1e-6.
    best = s_s.poisson_exact(1, 4, 5, 6)
    assert (best.point, best.level) == (4, 10)
    assert best.cost == pytest.approx(8.034111561471644, abs=1e-6)


def test_s_s_power_approximation() -> None:
    # SNYDER example 4.8: s, S; within 1e-5.
    near = s_s.power_approximation(0.18, 0.7, 2.5, 50, 8)
    assert near.point == pytest.approx(40.19461695647407, abs=1e-5)
    assert near.level == pytest.approx(74.29017010980579, abs=1e-5)


def test_r_q_exact() -> None:
    # SNYDER example 5.8: r, Q, cost; within 1e-5.
    best = r_q.poisson_exact(20, 150, 100, 1.5, 2)
    assert (best.point, best.quantity) == (3, 5)
    assert best.cost == pytest.approx(107.9235806331498, abs=1e-5)


def test_r_q_normal_cost() -> None:
    # SNYDER example 5.1: cost of r = 126.8, Q = 328.5; within 1e-5.
    assert r_q.normal_cost(NORMAL, 126.8, 328.5) == pytest.approx(78.07116250928294, abs=1e-5)


def test_r_q_expected_inventory_level() -> None:
    # SNYDER example 5.2: r, Q, cost; within 1e-4.
    near = r_q.by_expected_inventory(NORMAL)
    assert near.point == pytest.approx(213.9704421358024, abs=1e-4)
    assert near.quantity == pytest.approx(318.5901810768729, abs=1e-4)
    assert near.cost == pytest.approx(95.45114022285196, abs=1e-4)


def test_r_q_by_the_quantity_with_backorders() -> None:
    # SNYDER example 5.4 (EOQB): r, Q; within 1e-5.
    near = r_q.by_backordering_quantity(NORMAL)
    assert near.point == pytest.approx(128.637814424271, abs=1e-5)
    assert near.quantity == pytest.approx(308.5737801203754, abs=1e-5)


def test_r_q_by_the_loss_function() -> None:
    # SNYDER example 5.6: r, Q; within 1e-4.
    near = r_q.by_loss_function(NORMAL)
    assert near.point == pytest.approx(126.8670642878315, abs=1e-4)
    assert near.quantity == pytest.approx(328.4491413581765, abs=1e-4)


@pytest.mark.parametrize(
    ("mean", "point", "level", "cost"),
    [
        (10, 6, 40, 35.022),
        (20, 14, 62, 49.173),
        (21, 15, 65, 50.406),
        (23, 17, 52, 52.757),
        (30, 23, 66, 57.819),
        (40, 33, 87, 64.512),
        (50, 42, 108, 70.975),
        (51, 43, 110, 71.611),
        (59, 51, 126, 76.679),
        (60, 52, 129, 77.306),
        (63, 54, 73, 78.287),
        (70, 62, 81, 79.037),
    ],
)
def test_s_s_exact_table(mean: float, point: int, level: int, cost: float) -> None:
    # ZHENG, h 1, p 9, K 64: s, S, cost a period; within 0.0006.
    best = s_s.poisson_exact(1, 9, 64, mean)
    assert (best.point, best.level) == (point, level)
    assert best.cost == pytest.approx(cost, abs=0.0006)


def test_base_stock() -> None:
    # Palm's theorem, METRIC identity, computed apart: pipeline 1, S 2; share filled, units waiting; within 1e-9.
    does = base_stock.base_stock(2, 1.0)
    assert does.filled == pytest.approx(0.7357588823428847, abs=1e-9)
    assert does.waiting == pytest.approx(0.10363832351432697, abs=1e-9)
