"""Textbook examples of Bayes' rule and of the weight of evidence, each run through a shop of two carburettors.

The two hypotheses are two recorded carburettors with the example's prior as their shares; the report is a look whose
rate of wrong answers is the example's. Nothing is unlisted or built from two: what is left is Bayes' rule alone.
"""

from __future__ import annotations

import numpy as np
import pytest
from small_shop import Known, choice, closed_world, shop

from floatbowl.identify.explain import reasons
from floatbowl.identify.weigh import Standing, Weigher
from floatbowl.reference.facts import Confusion, FeatureKind
from floatbowl.reference.observed import Enquiry, Look


def weigh(
    prior: float, kinds: tuple[FeatureKind, ...], said: str = "yes", confusions: tuple[Confusion, ...] = ()
) -> Standing:
    """Two carburettors: ``one`` answers yes to every look, ``other`` no; the prior is that of ``one``."""
    features = [kind.feature for kind in kinds]
    reference = shop(
        Known("one", share=prior, features=dict.fromkeys(features, "yes")),
        Known("other", share=1 - prior, features=dict.fromkeys(features, "no")),
        kinds=kinds,
        confusions=confusions,
    )
    looks = tuple(Look(feature, said) for feature in features)
    return Weigher(reference, assumptions=closed_world()).weigh(Enquiry(looks=looks))


def chance_of_one(standing: Standing) -> float:
    return float(standing.posterior[standing.weigher.catalogue.at["one"]])


def test_the_cab_problem() -> None:
    """A. Tversky, D. Kahneman, "Evidential impact of base rates", in Judgment under Uncertainty (1982), pp. 156-157
    (from memory): 15 in 100 cabs are blue, the witness is right in 80 in 100; D. Kahneman, Thinking, Fast and Slow,
    chapter 16, prints the answer as 41 %."""
    printed = 0.41
    assert round(chance_of_one(weigh(0.15, (choice("witness", "yes|no", 0.20),))), 2) == printed


def test_jos_test_for_a_nasty_disease() -> None:
    """D. J. C. MacKay, Information Theory, Inference, and Learning Algorithms (2003), example 2.3, p. 25 (from memory):
    95 % reliable, one in a hundred has it; the printed answer is 0.16."""
    printed = 0.16
    assert round(chance_of_one(weigh(0.01, (choice("test", "yes|no", 0.05),))), 2) == printed


def test_the_mammogram() -> None:
    """G. Gigerenzer, Calculated Risks (2002), chapter 4 (from memory; quoted in S. Strogatz, "Chances Are", New York
    Times, April 2010): 0.8 % have the disease, 90 % of them test positive, so do 7 % of the rest; the answer is about
    9 %.

    The two ways of being wrong differ: the usual wrong answers share out 0.10 as 0.07 positive and 0.03 unclear."""
    kind = choice("test", "yes|no|unclear", 0.10)
    usual = (
        Confusion(feature="test", true="no", said="yes", weight=7.0),
        Confusion(feature="test", true="no", said="unclear", weight=3.0),
    )
    found = chance_of_one(weigh(0.008, (kind,), confusions=usual))
    assert round(found, 2) == 0.09
    assert found == pytest.approx(0.008 * 0.90 / (0.008 * 0.90 + 0.992 * 0.07), rel=1e-12)


#: General Report on Tunny (1945), section 21 (g), p. 39: a factor of 2 is 3 decibans, twenty heads gain 60, prior odds
#: of one in ten thousand are 40 down, so the posterior odds are 20 decibans, 100 to 1 on (the 3 is 10 log10 2 rounded).
PENNY_DECIBANS, PENNY_TOSSES, PENNY_POSTERIOR_DECIBANS = 3, 20, 20


def penny() -> Standing:
    """Twenty tosses, each twice as likely under one hypothesis as under the other."""
    kinds = tuple(choice(f"toss {n}", "yes|no", 1 / 3) for n in range(PENNY_TOSSES))
    return weigh(1 / 10_001, kinds)


def test_decibans_of_a_penny() -> None:
    weights = [reason.decibans for reason in reasons(penny()) if reason.for_ == "one"]
    assert [round(weight) for weight in weights] == [PENNY_DECIBANS] * PENNY_TOSSES
    assert weights[0] == pytest.approx(3.0103, abs=5e-5)


def test_posterior_odds_of_a_penny() -> None:
    odds = chance_of_one(penny()) / (1 - chance_of_one(penny()))
    assert round(10 * np.log10(odds)) == PENNY_POSTERIOR_DECIBANS
    assert odds == pytest.approx(2**PENNY_TOSSES / 10_000, rel=1e-9)


def test_decibans_add_up_to_the_posterior_odds() -> None:
    """I. J. Good, Probability and the Weighing of Evidence (1950), chapter 6 (from memory): weights of independent
    evidence add to the logarithm of the prior odds."""
    standing = weigh(0.3, (choice("a", "yes|no", 0.1), choice("b", "yes|no|maybe", 0.25)))
    chance = chance_of_one(standing)
    gained = sum(reason.decibans for reason in reasons(standing))
    assert 10 * np.log10(0.3 / 0.7) + gained == pytest.approx(10 * np.log10(chance / (1 - chance)), rel=1e-9)
