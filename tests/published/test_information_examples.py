"""Published examples of entropy, mutual information and the value of information, run through the choice of looks."""

from __future__ import annotations

import numpy as np
import pytest
from small_shop import Known, choice, closed_world, mark, shop

from floatbowl.identify.advice import advise
from floatbowl.identify.looks import next_looks
from floatbowl.identify.outlook import candidates, entropy_bits, gain_bits
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import Costs
from floatbowl.reference.observed import Enquiry

#: T. M. Cover, J. A. Thomas, Elements of Information Theory, 2nd edition (2006), example 2.2.1 (p. 17, from
#: memory): rows Y, columns X.
JOINT = np.array(
    [[1 / 8, 1 / 16, 1 / 32, 1 / 32], [1 / 16, 1 / 8, 1 / 32, 1 / 32], [1 / 16] * 4, [1 / 4, 0, 0, 0]],
)


def test_entropy_of_a_horse_race() -> None:
    """Cover & Thomas, example 1.1.2, p. 6 (pages from memory): eight horses, 2 bits."""
    chances = np.array([1 / 2, 1 / 4, 1 / 8, 1 / 16, 1 / 64, 1 / 64, 1 / 64, 1 / 64])
    assert entropy_bits(chances) == pytest.approx(2.0, abs=1e-12)


def test_entropy_of_four_letters() -> None:
    """C. E. Shannon, "A Mathematical Theory of Communication" (1948), section 9, end (p. 18 of the reprint, from
    memory): letters of probability 1/2, 1/4, 1/8, 1/8 have 7/4 bits each."""
    assert entropy_bits(np.array([1 / 2, 1 / 4, 1 / 8, 1 / 8])) == pytest.approx(7 / 4, abs=1e-12)


def test_marginal_and_joint_entropies() -> None:
    """Cover & Thomas, example 2.2.1: H(X) = 7/4, H(Y) = 2, H(X|Y) = 11/8, H(Y|X) = 13/8, H(X, Y) = 27/8 bits."""
    whole, x, y = entropy_bits(JOINT.ravel()), entropy_bits(JOINT.sum(axis=0)), entropy_bits(JOINT.sum(axis=1))
    assert x == pytest.approx(7 / 4, abs=1e-12)
    assert y == pytest.approx(2.0, abs=1e-12)
    assert whole - y == pytest.approx(11 / 8, abs=1e-12)
    assert whole - x == pytest.approx(13 / 8, abs=1e-12)
    assert whole == pytest.approx(27 / 8, abs=1e-12)


def test_mutual_information() -> None:
    """Cover & Thomas, example 2.4.1 (from memory; of the table above): I(X; Y) = 0.375 bit."""
    assert gain_bits(JOINT) == pytest.approx(0.375, abs=1e-12)


def test_rate_of_a_noisy_telegraph() -> None:
    """Shannon (1948), section 12 (from memory): 1,000 binary signs a second, 1 in 100 received wrong; 919 bits a second
    come through."""
    assert round(1000 * gain_bits(np.array([[0.495, 0.005], [0.005, 0.495]]))) == 919


def test_the_telegraph_as_a_look() -> None:
    """The same channel as a look: two kits equally likely, answered wrong 1 time in 100."""
    reference = shop(
        Known("one", features={"sign": "mark"}, kits=("A",)),
        Known("two", features={"sign": "space"}, kits=("B",)),
        kinds=(choice("sign", "mark|space", 0.01, minutes=1.0),),
    )
    (look,) = next_looks(Weigher(reference, assumptions=closed_world()).weigh(Enquiry()))
    assert round(1000 * look.bits) == 919
    assert look.bits_per_minute == pytest.approx(look.bits)


def test_the_horse_race_as_kits() -> None:
    """Cover & Thomas, example 1.1.2 again: eight carburettors with the horses' chances, each with a kit of its own."""
    shares = (1 / 2, 1 / 4, 1 / 8, 1 / 16, 1 / 64, 1 / 64, 1 / 64, 1 / 64)
    reference = shop(*(Known(f"horse {n}", share=share, kits=(f"kit {n}",)) for n, share in enumerate(shares)))
    standing = Weigher(reference, assumptions=closed_world()).weigh(Enquiry())
    assert candidates(standing).kit_entropy == pytest.approx(2.0, abs=1e-9)


@pytest.mark.parametrize("blocks", [2, 4, 5])
def test_value_of_a_survey(blocks: int) -> None:
    """S. Russell, P. Norvig, Artificial Intelligence, 3rd edition, section 16.6.1 (p. 628, from memory): one of n
    blocks holds oil worth C; a survey that says for certain whether block 3 does is worth C/n.

    Here: n carburettors as likely as each other, a wrong kit costs C, and only one of them bears a number on its tag,
    so that looking for it says for certain whether it is that one."""
    worth = 100.0
    known = [Known(f"block {n}", kits=(f"kit {n}",)) for n in range(blocks)]
    known[-1] = Known("block 3", kits=("kit 3",), marks=(mark("K36/118", part="tag"),))
    reference = shop(*known, costs=Costs(wrong_kit=worth, minute=0.0, bench=1e6))
    standing = Weigher(reference, assumptions=closed_world()).weigh(Enquiry())
    looks = next_looks(standing)
    cost_now = (1 - 1 / blocks) * worth
    cost_after = advise(standing, looks).expected_cost
    assert [look.mark for look in looks] == ["tag"]
    assert cost_now - cost_after == pytest.approx(worth / blocks, rel=1e-9)
