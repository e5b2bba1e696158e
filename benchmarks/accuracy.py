"""How often the weighing is right, next to the baseline: ``python -m benchmarks.accuracy --out results.json``.

Catalogues 1 to 5 (or from ``--first`` on) are measured on, catalogue 6 tunes the baseline. Figures say what they are
a share of.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, field
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks import scoring
from benchmarks.catalogue import as_recorded, choose_unlisted, make_truth
from benchmarks.edit_distance import Floats
from benchmarks.evidence import Richness
from benchmarks.scoring import Outcome
from benchmarks.simulator import Case, simulate
from benchmarks.soft_edit_distance import SoftEditDistance
from benchmarks.tuning import NEVER, tune
from floatbowl.identify.advice import advise, best_kit
from floatbowl.identify.answer import BUILT_FROM_TWO, CUT_OFF, Advice, Chance
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import Reference

TUNING_SEED = 6
#: Sharpness and not-listed distance of the baseline, without and with a "not listed".
Settings = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Plan:
    """What to measure."""

    carburettors: int = 20_000
    cases: int = 5_000
    plentiful: int = 1_000
    whole: int = 2_000
    hybrids: int = 200
    catalogues: int = 5
    #: Seed of the first. 1 to 5 were looked at while the weighing was written, 6 tunes, from 7 on all are fresh.
    first: int = 1
    factors: tuple[float, ...] = (1.0, 2.0, 3.0)
    #: Part of the cases (hybrids apart) simulated again with more error.
    more_error_part: float = 0.2
    tuning_cases: int = 1_500
    baseline: Settings | None = None


@dataclass(slots=True)
class Group:
    """Outcomes of one kind of case."""

    engine: list[Outcome] = field(default_factory=list)
    baseline: list[Outcome] = field(default_factory=list)
    #: The baseline given a "not listed" of its own, tuned too: more than was asked of it.
    stronger: list[Outcome] = field(default_factory=list)
    seconds: float = 0.0


def records(plan: Plan, seed: int) -> tuple[Reference, frozenset[str], Reference]:
    """The truth, the carburettors left out, and what the shop knows."""
    truth = make_truth(plan.carburettors, seed)
    unlisted = choose_unlisted(truth, seed)
    return truth, unlisted, as_recorded(truth, seed, unlisted=unlisted)


def tuned(plan: Plan) -> Settings:
    """The baseline's sharpness, and with a not-listed distance, from the tuning catalogue."""
    truth, unlisted, known = records(plan, TUNING_SEED)
    cases = simulate(truth, plan.tuning_cases, TUNING_SEED, "little", unlisted=unlisted)
    model = SoftEditDistance(known)
    return tune(model, cases, (NEVER,))[0], tune(model, cases)[0]


def by_engine(weigher: Weigher, case: Case) -> Outcome:
    """One case weighed by floatbowl. What to look at next bears on none of these figures and is not ranked."""
    standing = weigher.weigh(case.enquiry)
    top = (*standing.kits(CUT_OFF), Chance("", 0.0))[0]
    # A kit less likely than this is never sent; the rest of the advice need not be worked out for it.
    may_send = best_kit(standing)[1] >= weigher.assumptions.send_at_least
    advice = advise(standing, ()) if may_send else Advice("ask", None)
    kit = advice.kit or ""
    return Outcome(
        kit=top.key,
        probability=top.probability,
        right=top.key in case.kits,
        unlisted=case.truth is None and not case.mixed,
        hybrid=case.mixed,
        action=advice.action,
        sent=kit,
        sent_right=kit in case.kits,
        mixed=standing.mixed,
        not_listed=standing.not_listed,
        troubles=tuple(sorted(case.troubles)),
        case=case.enquiry.enquiry,
    )


def by_baseline(model: SoftEditDistance, settings: Settings, case: Case) -> list[Outcome]:
    """One case weighed by the soft edit distance, without and with a "not listed"."""
    return [_by_baseline(model, case, *found) for found in model.posteriors(case.enquiry, settings)]


def _by_baseline(model: SoftEditDistance, case: Case, chances: Floats, unlisted: float) -> Outcome:
    kits = model.kits(chances)
    top = int(np.argmax(kits))
    return Outcome(
        kit=model.kit_names[top],
        probability=float(kits[top]),
        right=model.kit_names[top] in case.kits,
        unlisted=case.truth is None and not case.mixed,
        hybrid=case.mixed,
        not_listed=unlisted,
        troubles=tuple(sorted(case.troubles)),
        case=case.enquiry.enquiry,
    )


def one_catalogue(plan: Plan, seed: int, settings: Settings) -> dict[str, Group]:
    """All kinds of case over one catalogue."""
    truth, unlisted, known = records(plan, seed)
    weigher, model = Weigher(known), SoftEditDistance(known)
    groups: dict[str, Group] = {}
    kinds: tuple[tuple[str, Richness, bool, int], ...] = (
        ("little", "little", False, plan.cases),
        ("plentiful", "plentiful", False, plan.plentiful),
        ("whole", "castings", False, plan.whole // plan.catalogues),
        ("hybrid", "castings", True, plan.hybrids // plan.catalogues),
    )
    for factor in plan.factors:
        for name, richness, hybrid, full in kinds:
            count = full if factor == 1.0 or hybrid else max(1, int(full * plan.more_error_part))
            cases = simulate(truth, count, seed, richness, factor, hybrid, unlisted=unlisted)
            group = groups[f"{name} x{factor:g}"] = Group()
            start = time.perf_counter()
            group.engine = [by_engine(weigher, case) for case in cases]
            group.seconds = time.perf_counter() - start
            if name == "little":
                both = [by_baseline(model, settings, case) for case in cases]
                group.baseline, group.stronger = [pair[0] for pair in both], [pair[1] for pair in both]
    return groups


def pooled(parts: Sequence[dict[str, Group]]) -> dict[str, Group]:
    """The catalogues' outcomes put together."""
    out: dict[str, Group] = {}
    for part in parts:
        for name, group in part.items():
            into = out.setdefault(name, Group())
            into.engine += group.engine
            into.baseline += group.baseline
            into.stronger += group.stronger
            into.seconds += group.seconds
    return out


def figures(name: str, group: Group) -> dict[str, Any]:
    """The figures of one kind of case."""
    engine, base = group.engine, group.baseline
    sent, sent_wrong = scoring.sent_figures(engine)
    row: dict[str, Any] = {
        "cases": len(engine),
        "right": sum(o.right for o in engine) / max(1, len(engine)),
        "wrong_among_surest": scoring.wrong_among_surest(engine),
        "calibration_error": scoring.calibration_error(engine),
        "sent": sent,
        "sent_wrong": sent_wrong,
        "unlisted": sum(o.unlisted for o in engine),
        "unlisted_told": scoring.told_though_unlisted(engine),
        "flagged": scoring.flagged(engine, BUILT_FROM_TWO),
        "ms": 1000 * group.seconds / max(1, len(engine)),
    }
    if base:
        listed, listed_base = ([o for o in g if not o.unlisted] for g in (engine, base))
        row["baseline_right"] = sum(o.right for o in base) / len(base)
        row["baseline_wrong_among_surest"] = scoring.wrong_among_surest(base)
        row["stronger_baseline_wrong_among_surest"] = scoring.wrong_among_surest(group.stronger)
        row["baseline_calibration_error"] = scoring.calibration_error(base)
        row["baseline_unlisted_told"] = scoring.told_though_unlisted(base)
        row["listed_wrong_among_surest"] = scoring.wrong_among_surest(listed)
        row["baseline_listed_wrong_among_surest"] = scoring.wrong_among_surest(listed_base)
    return row


def measure(plan: Plan, processes: int) -> tuple[dict[str, Group], tuple[float, float]]:
    """All catalogues, in so many processes."""
    settings = plan.baseline or tuned(plan)
    seeds = range(plan.first, plan.first + plan.catalogues)
    if processes == 1:
        return pooled([one_catalogue(plan, seed, settings) for seed in seeds]), settings
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        parts = pool.map(one_catalogue, [plan] * plan.catalogues, seeds, [settings] * plan.catalogues)
        return pooled(list(parts)), settings


def shown(results: dict[str, dict[str, Any]], settings: Settings) -> str:
    """The figures as a table; shares in per cent."""
    lines = [
        f"baseline: sharpness {settings[0][0]:g}; stronger: sharpness {settings[1][0]:g}, not listed at distance "
        f"{settings[1][1]:g} (tuned on another catalogue)"
    ]
    for name, row in results.items():
        lines.append(f"\n{name}  ({row['cases']} cases, {row['ms']:.1f} ms each)")
        for key, value in row.items():
            if key not in ("cases", "ms", "unlisted"):
                lines.append(f"  {key.replace('_', ' '):40s} {100 * value:7.2f} %")
    return "\n".join(lines)


def explained(group: Group) -> str:
    """Calibration by bin, and what misleads the weighing."""
    lines = ["  said   right  cases"]
    for _, said, right in scoring.calibration_table(group.engine):
        lines.append(f"  {sum(said) / len(said):5.3f}  {right / len(said):5.3f}  {len(said)}")
    lines.append("  trouble                 cases  wrong at >=0.95   said   right")
    for trouble, had, wrong, said_mean, right_share in scoring.misled_by(group.engine):
        lines.append(f"  {trouble:22s} {had:6d}  {wrong:15d}  {said_mean:5.3f}  {right_share:5.3f}")
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    defaults = Plan()
    for name in ("carburettors", "cases", "plentiful", "whole", "hybrids", "catalogues", "first", "tuning_cases"):
        parser.add_argument("--" + name.replace("_", "-"), type=int, default=getattr(defaults, name))
    parser.add_argument("--factors", type=float, nargs="+", default=list(defaults.factors))
    parser.add_argument(
        "--baseline",
        type=float,
        nargs=3,
        help="sharpness without, sharpness and not-listed distance with a 'not listed', to skip the tuning",
    )
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--explain", action="store_true", help="also calibration by bin and what misleads")
    parser.add_argument("--out", type=Path)
    parser.add_argument("--outcomes", type=Path, help="write every case's outcome (JSON Lines)")
    asked = vars(parser.parse_args())
    explain, out, raw, processes = (asked.pop(k) for k in ("explain", "out", "outcomes", "processes"))
    given = asked.pop("baseline")
    baseline = ((given[0], NEVER), (given[1], given[2])) if given else None
    plan = Plan(**{**asked, "factors": tuple(asked["factors"])}, baseline=baseline)
    groups, settings = measure(plan, processes)
    results = {name: figures(name, group) for name, group in groups.items()}
    print(shown(results, settings))
    if explain:
        for name, group in groups.items():
            print(f"\n{name}\n{explained(group)}")
    if out:
        out.write_text(json.dumps({"plan": asdict(plan), "baseline": settings, "figures": results}, indent=1))
    if raw:
        rows = ({"kind": n, **asdict(o)} for n, g in groups.items() for o in g.engine)
        raw.write_text("".join(json.dumps(row) + "\n" for row in rows))


if __name__ == "__main__":
    main()
