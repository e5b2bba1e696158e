"""Deliberate faults of 1 % in the formulas of the weighing, and the quick tests that must turn red for each."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Change:
    """In ``module`` (below ``floatbowl``), the text ``right`` becomes ``wrong``; ``caught_by`` are pytest node ids."""

    module: str
    right: str
    wrong: str
    caught_by: tuple[str, ...]

    @property
    def name(self) -> str:
        return f"{self.module}: {' '.join(self.right.split())}"


PAIRS = "tests/identify/test_exactness.py::test_worked_pairs"
CELLS = "tests/identify/test_exactness.py::test_worked_cells"
EDITS = "tests/published/test_edit_distance.py::test_published_levenshtein_distances"
UMBRELLA = "tests/published/test_forward_examples.py::test_umbrella_world"
ENTROPY = "tests/published/test_information_examples.py::test_entropy_of_a_horse_race"
MUTUAL = "tests/published/test_information_examples.py::test_mutual_information"
SURVEY = "tests/published/test_information_examples.py::test_value_of_a_survey"
PENNY = "tests/published/test_bayes_examples.py::test_decibans_of_a_penny"
ODDS = "tests/published/test_bayes_examples.py::test_posterior_odds_of_a_penny"
ASKING = "tests/identify/test_advice.py::test_asking_costs_its_minutes_and_what_is_still_wrong_after"
SENDING = "tests/identify/test_advice.py::test_two_kinds_of_evidence_send"
BITS = "tests/identify/test_next_looks.py::test_bits_of_a_choice_are_the_expected_drop_of_the_kits_entropy"
CONFIRMS = "tests/identify/test_next_looks.py::test_the_confirming_look_speaks_most_for_the_likeliest_per_minute"
MACHINE_REASON = "tests/identify/test_reasons_and_odd_evidence.py::test_a_machines_weight_is_what_it_does_to_the_odds"


def worked(case: str) -> str:
    """A worked enquiry held against plain Bayes arithmetic."""
    return f"tests/identify/test_posterior.py::test_worked_enquiries_equal_plain_arithmetic[others-{case}]"


CHANGES = (
    Change("identify/forward.py", "just[0] = 1.0 - scalars", "just[0] = 1.01 - scalars", (PAIRS,)),
    Change("identify/forward.py", "return chain * ((1.0 -", "return 1.01 * chain * ((1.0 -", (PAIRS,)),
    Change("identify/forward.py", "just[i] = scalars[LOST", "just[i] = 1.01 * scalars[LOST", (PAIRS,)),
    Change("identify/forward.py", "swapped = rc[i, j - 2]", "swapped = 1.01 * rc[i, j - 2]", (PAIRS,)),
    Change("identify/forward.py", "here_w = next_w * gone_w[0]", "here_w = 1.01 * next_w * gone_w[0]", (PAIRS,)),
    Change(
        "identify/forward.py", "lost[i + 1] + scalars[LOST_END] *", "lost[i + 1] + 1.01 * scalars[LOST_END] *", (PAIRS,)
    ),
    Change("identify/forward.py", "keep = 1.0 if r < 2 else 1.0 -", "keep = 1.0 if r < 2 else 1.01 -", (PAIRS,)),
    Change("identify/forward.py", "via_c += tau * clean[symbols", "via_c += 1.01 * tau * clean[symbols", (PAIRS,)),
    Change("identify/forward.py", "bc[r, n] += end", "bc[r, n] += 1.01 * end", (PAIRS,)),
    Change("identify/forward.py", "started += scalars[LOST_START]", "started += 1.01 * scalars[LOST_START]", (PAIRS,)),
    Change("identify/forward.py", "rc[p + 1, j] * exchanged[y", "1.01 * rc[p + 1, j] * exchanged[y", (PAIRS,)),
    Change("identify/compiled.py", "rates.swap / (1.0 -", "rates.swap / (1.01 -", (PAIRS,)),
    Change("identify/wear.py", "np.asarray(PLACE_SCALE * read", "np.asarray(1.01 * PLACE_SCALE * read", (PAIRS,)),
    Change("identify/wear.py", "given = (1 - rates.extra_unread)", "given = (1.01 - rates.extra_unread)", (PAIRS,)),
    Change("identify/wear.py", "PLACE_SCALE * place.empty", "1.01 * PLACE_SCALE * place.empty", (CELLS,)),
    Change("identify/wear.py", "found += wrong * (alike_share", "found += 1.01 * wrong * (alike_share", (PAIRS,)),
    Change("identify/wear.py", "+ _TYPED * typed", "+ 1.01 * _TYPED * typed", (PAIRS,)),
    Change("identify/marks.py", "total *= 1.0 - share_turned", "total *= 1.01 - share_turned", (PAIRS,)),
    Change(
        "identify/spoken.py",
        "room[p] * open_[p] - recorded",
        "room[p] * open_[p] - 1.01 * recorded",
        (worked("tag"),),
    ),
    Change(
        "identify/families.py",
        "self.counts - 1 + USUAL_WORTH",
        "self.counts - 1.01 + USUAL_WORTH",
        (worked("tag"),),
    ),
    Change(
        "identify/gains.py",
        "left += _entropy(vector)",
        "left += 1.01 * _entropy(vector)",
        (BITS,),
    ),
    Change(
        "identify/readings.py",
        "assumptions.read_identifies * grammar",
        "1.01 * assumptions.read_identifies * grammar",
        (worked("tag"),),
    ),
    Change("identify/readings.py", "np.asarray(_NO_GRAMMAR *", "np.asarray(1.01 * _NO_GRAMMAR *", (worked("decoy"),)),
    Change("identify/features.py", "table: Floats = (1 - wrong) *", "table: Floats = (1.01 - wrong) *", (ODDS,)),
    Change(
        "identify/features.py",
        "mixed: Floats = counts + _OVERALL_WORTH",
        "mixed: Floats = counts + 1.01 * _OVERALL_WORTH",
        (worked("usual wrong answer"),),
    ),
    Change(
        "identify/features.py",
        "return (1 - wrong) * _normal(measured - value, spread)",
        "return (1.01 - wrong) * _normal(measured - value, spread)",
        (worked("measures"),),
    ),
    Change("identify/features.py", "np.exp(-0.5 * (distance", "np.exp(-0.505 * (distance", (worked("measures"),)),
    Change("identify/features.py", "np.hypot(own, tool)", "np.hypot(own, 1.01 * tool)", (worked("measures"),)),
    Change(
        "identify/machines.py",
        "prior = (1 - assumptions.swapped) * factory",
        "prior = (1.01 - assumptions.swapped) * factory",
        (worked("machine"),),
    ),
    Change("identify/machines.py", "0.5 * (1 + erf(", "0.505 * (1 + erf(", (worked("machine, serial"),)),
    Change(
        "identify/mixed.py",
        "assumptions.mixed_same_maker * same_maker +",
        "1.01 * assumptions.mixed_same_maker * same_maker +",
        (worked("built from two"),),
    ),
    Change(
        "identify/castings.py",
        "worth = (1 + assumptions.repeat_worth *",
        "worth = (1 + 1.01 * assumptions.repeat_worth *",
        (worked("two readings of one casting"),),
    ),
    Change(
        "identify/castings.py",
        "np.log1p(-fault) + together",
        "np.log1p(-1.01 * fault) + together",
        (worked("one photograph"),),
    ),
    Change("identify/castings.py", "np.log(moved) + anyone", "np.log(1.01 * moved) + anyone", (worked("moved tag"),)),
    Change(
        "identify/weigh.py",
        "float(np.exp(mixed - top)) * assumptions.mixed",
        "float(np.exp(mixed - top)) * 1.01 * assumptions.mixed",
        (worked("built from two"),),
    ),
    Change(
        "identify/weigh.py",
        "prior + assumptions.bought_again * again",
        "prior + 1.01 * assumptions.bought_again * again",
        (worked("machine, bought"),),
    ),
    Change(
        "identify/weigh.py",
        "return found.astype(np.float64)",
        "return 1.01 * found.astype(np.float64)",
        (worked("machine"),),
    ),
    Change("identify/outlook.py", "float(entropies(chances", "1.01 * float(entropies(chances", (ENTROPY,)),
    Change("identify/outlook.py", "- entropy_bits(joint))", "- 1.01 * entropy_bits(joint))", (MUTUAL, BITS)),
    Change("identify/confirm.py", "np.log2(given[code] /", "1.01 * np.log2(given[code] /", (CONFIRMS,)),
    Change(
        "identify/explain.py",
        "return 10 * float(np.log10(max(float(values[top])",
        "return 10.1 * float(np.log10(max(float(values[top])",
        (PENNY,),
    ),
    Change(
        "identify/explain.py",
        "decibans = 10 * float(np.log10(max(_odds(after)",
        "decibans = 10.1 * float(np.log10(max(_odds(after)",
        (MACHINE_REASON,),
    ),
    Change("identify/advice.py", "send_cost = (1 - chance)", "send_cost = 1.01 * (1 - chance)", (SENDING,)),
    Change("identify/advice.py", "ask_cost = look.minutes *", "ask_cost = 1.01 * look.minutes *", (ASKING,)),
    Change(
        "identify/advice.py", "return (1 - best) * standing", "return 1.01 * (1 - best) * standing", (SURVEY, ASKING)
    ),
)
