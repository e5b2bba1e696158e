"""A synthetic catalogue: makers, families of look-alike carburettors, kits, machines and shares, all by a seed.

``make_truth`` knows every carburettor and every feature; ``as_recorded`` is what a shop has written down of it
(features not recorded, some carburettors not listed, shares only roughly known). Every figure here is an estimate.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate

from benchmarks import features, machines
from benchmarks.grammar import GRAMMARS, LETTERS, Grammar, family, foundry_number, pattern
from floatbowl.reference.facts import Carburettor, Feature, FeatureKind, Kit, KitFit, Maker, Mark, Reference, Tool

TOOLS = (
    Tool(tool="rule", spread=0.4, unit="mm"),
    Tool(tool="calliper", spread=0.1, unit="mm"),
    Tool(tool="string", spread=1.5, unit="mm"),
)
NO_KIT_SHARE = 0.03
NO_NUMBER_SHARE = 0.01
CROSS_SHARE = 0.15
CAST_PARTS = ("throttle body", "bowl", "lid")


@dataclass(slots=True)
class Family:
    """Carburettors with one stem, and what they share."""

    maker: str
    grammar: Grammar
    numbers: list[str]
    castings: dict[str, list[str]]
    device: str
    values: dict[str, str]
    kit_group: str


def make_catalogue(carburettors: int, seed: int) -> Reference:
    """A catalogue as a shop would hold it: every carburettor listed, a fifth of the features not recorded."""
    return as_recorded(make_truth(carburettors, seed), seed)


def make_truth(carburettors: int, seed: int) -> Reference:
    """Every carburettor of an invented world with all that is true of it."""
    rng = random.Random(f"catalogue {seed}")
    kinds, confusions = features.feature_kinds(), features.confusions()
    makers = _makers(rng)
    facts: list[Carburettor] = []
    marks: list[Mark] = []
    values: list[Feature] = []
    kit_of: dict[str, str] = {}
    for group in _families(carburettors, makers, kinds, rng):
        for number, build in _builds(group, rng):
            if len(facts) == carburettors:
                break
            name = f"{group.maker}-{len(facts):05d}"
            own = features.vary(group.values, kinds, rng)
            if build:
                own["raised mark"] = build
            facts.append(Carburettor(carburettor=name, maker=group.maker, name=number))
            marks.extend(_marks(name, number, group, rng))
            values.extend(Feature(carburettor=name, feature=f, value=v) for f, v in own.items())
            kit = _kit(group, own, rng)
            if kit:
                kit_of[name] = kit
    names = [fact.carburettor for fact in facts]
    fleet, came_on, shares = machines.make_machines(names, rng)
    return Reference(
        makers=tuple(maker for maker, _ in makers),
        carburettors=tuple(replace(fact, share=shares[fact.carburettor]) for fact in facts),
        marks=tuple(dict.fromkeys(marks)),
        features=tuple(values),
        feature_kinds=kinds,
        confusions=confusions,
        tools=TOOLS,
        kits=tuple(Kit(kit=k, name=f"Kit {k}", level="full") for k in sorted(set(kit_of.values()))),
        kit_fits=tuple(KitFit(kit=k, carburettor=c) for c, k in kit_of.items()),
        machines=fleet,
        came_on=came_on,
    )


def as_recorded(
    truth: Reference,
    seed: int,
    unrecorded: float = 0.2,
    unlisted: frozenset[str] = frozenset(),
    share_error: float = 0.4,
) -> Reference:
    """What a shop knows of the truth: gaps in the features, carburettors missing, shares off by a log-normal factor."""
    rng = random.Random(f"recorded {seed}")
    kept = tuple(
        replace(c, share=(c.share or 0.0) * rng.lognormvariate(0.0, share_error))
        for c in truth.carburettors
        if c.carburettor not in unlisted
    )
    fits = tuple(f for f in truth.kit_fits if f.carburettor not in unlisted)
    kits = {f.kit for f in fits}
    return replace(
        truth,
        carburettors=kept,
        marks=tuple(m for m in truth.marks if m.carburettor not in unlisted),
        features=tuple(f for f in truth.features if f.carburettor not in unlisted and rng.random() >= unrecorded),
        kits=tuple(k for k in truth.kits if k.kit in kits),
        kit_fits=fits,
        came_on=tuple(row for row in truth.came_on if row.carburettor not in unlisted),
    )


def choose_unlisted(truth: Reference, seed: int, share: float = 0.05) -> frozenset[str]:
    """Carburettors to leave out of the records: half of them whole families, half one by one among listed siblings."""
    rng = random.Random(f"unlisted {seed}")
    by_stem: dict[str, list[str]] = defaultdict(list)
    stem = {m.carburettor: m.text for m in truth.marks if m.role == "casting" and m.part == "throttle body"}
    for fact in truth.carburettors:
        by_stem[stem.get(fact.carburettor, "")].append(fact.carburettor)
    wanted = int(len(truth.carburettors) * share)
    out: set[str] = set()
    stems = sorted(by_stem)
    rng.shuffle(stems)
    for text in stems:
        if len(out) >= wanted / 2:
            break
        out.update(by_stem[text])
    names = [fact.carburettor for fact in truth.carburettors if fact.carburettor not in out]
    out.update(rng.sample(names, min(len(names), max(0, wanted - len(out)))))
    return frozenset(out)


def _makers(rng: random.Random) -> list[tuple[Maker, str]]:
    """The makers, each with the few letters its numbers use."""
    out = []
    for i, grammar in enumerate(GRAMMARS):
        alphabet = "".join(sorted(rng.sample(LETTERS, rng.randint(4, 8))))
        check = "mod7:A-G" if "k" in grammar.template else ""
        row = Maker(maker=f"m{i:02d}", name=f"Maker {chr(65 + i)}", pattern=pattern(grammar, alphabet), check=check)
        out.append((row, alphabet))
    return out


def _families(
    carburettors: int, makers: list[tuple[Maker, str]], kinds: tuple[FeatureKind, ...], rng: random.Random
) -> Iterator[Family]:
    """Families until there are more than enough carburettors; makers differ in size by a factor of about six."""
    usual = [features.maker_values(kinds, rng) for _ in makers]
    weights = list(accumulate(1.0 / (i + 2) for i in range(len(makers))))
    order = rng.sample(range(len(makers)), len(makers))
    taken: set[tuple[str, str]] = set()
    castings: dict[str, list[str]] = defaultdict(list)
    made = 0
    while made < carburettors * 1.05 + 50:
        place = order[rng.choices(range(len(makers)), cum_weights=weights)[0]]
        (row, alphabet), grammar = makers[place], GRAMMARS[place]
        maker = row.maker
        size = min(40, 2 + int(rng.expovariate(1 / 10)))
        numbers = []
        for number in family(grammar, alphabet, size, rng):
            if (maker, number) not in taken:
                taken.add((maker, number))
                numbers.append(number)
        if not numbers:
            continue
        made += len(numbers)
        yield Family(
            maker=maker,
            grammar=grammar,
            numbers=numbers,
            castings={part: _foundry(castings[maker + part], grammar, alphabet, rng) for part in CAST_PARTS},
            device=rng.choice(grammar.devices) if grammar.devices else "",
            values=features.vary(usual[place], kinds, rng, keep=0.55),
            kit_group=f"{maker}-{rng.randrange(10**6):06d}",
        )


def _foundry(known: list[str], grammar: Grammar, alphabet: str, rng: random.Random) -> list[str]:
    """One or two foundry numbers for a family's casting, one in five an older family's pattern used again."""
    texts = []
    for _ in range(rng.choice((1, 1, 2))):
        if known and rng.random() < 0.2:
            texts.append(rng.choice(known))
        else:
            texts.append(foundry_number(grammar, alphabet, rng))
            known.append(texts[-1])
    return texts


def _builds(group: Family, rng: random.Random) -> Iterator[tuple[str, str]]:
    """Each number with its build: empty, or both a raised and a flat one under one number."""
    for number in group.numbers:
        if group.grammar.shared_builds and rng.random() < 0.15:
            yield number, "raised"
            yield number, "flat"
        else:
            yield number, ""


def _marks(name: str, number: str, group: Family, rng: random.Random) -> list[Mark]:
    grammar = group.grammar
    marks = []
    if rng.random() >= NO_NUMBER_SHARE:
        marks.append(Mark(carburettor=name, text=number, role="identifies", part=grammar.part, form=grammar.form))
    for part, texts in group.castings.items():
        marks.append(Mark(carburettor=name, text=rng.choice(texts), role="casting", part=part, form="cast"))
    if group.device:
        marks.append(Mark(carburettor=name, text="{" + group.device + "}", role="family", part="lid", form="cast"))
    if rng.random() < CROSS_SHARE:
        text = f"{rng.choice(LETTERS)}{rng.choice(LETTERS)}{rng.randrange(1000, 99999)}"
        marks.append(Mark(carburettor=name, text=text, role="cross"))
    return marks


def _kit(group: Family, own: dict[str, str], rng: random.Random) -> str:
    """One kit a family, but for what changes gaskets and needle: body metal, a raised mark, now and then more."""
    if rng.random() < NO_KIT_SHARE:
        return ""
    other = "x" if rng.random() < 0.15 else ""
    return f"{group.kit_group}-{own['magnet body'][0]}{own['raised mark'][0]}{other}"
