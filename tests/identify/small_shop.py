"""Small shops written in code: a few invented carburettors with all that is known of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from floatbowl.identify.assumptions import Assumptions, shipped_assumptions
from floatbowl.reference.facts import (
    CameOn,
    Carburettor,
    CarburettorPart,
    Confusion,
    Costs,
    Feature,
    FeatureKind,
    Kit,
    KitFit,
    Machine,
    Maker,
    Mark,
    Part,
    PartSize,
    Reference,
    Setting,
    Tool,
)


@dataclass(frozen=True)
class Known:
    """One carburettor. ``features`` may hold several values where sources disagree."""

    key: str
    maker: str = "tarnsyke"
    share: float | None = None
    name: str = ""
    marks: tuple[Mark, ...] = ()
    features: Mapping[str, str | tuple[str, ...]] = field(default_factory=dict)
    kits: tuple[str, ...] = ()


def mark(text: str, role: str = "identifies", part: str = "", form: str = "", with_: str = "") -> Mark:
    """A mark whose carburettor is filled in by :func:`shop`."""
    return Mark(carburettor="", text=text, role=role, part=part, form=form, with_=with_)


def choice(feature: str, choices: str, wrong: float | None = 0.1, part: str = "", **more: object) -> FeatureKind:
    """A look answered by a choice; as often wrong untold as coached unless told otherwise."""
    told: dict[str, object] = {"wrong_untold": wrong, "wrong_coached": wrong, "question": f"{feature}?"}
    return FeatureKind(feature=feature, kind="choice", choices=choices, part=part, **(told | more))  # type: ignore[arg-type]


def measure(feature: str, unit: str = "mm", spread: float | None = 0.2, **more: object) -> FeatureKind:
    """A look that is measured."""
    told: dict[str, object] = {"question": f"{feature}?"}
    return FeatureKind(feature=feature, kind="measure", unit=unit, spread=spread, **(told | more))  # type: ignore[arg-type]


def shop(
    *known: Known,
    kinds: Iterable[FeatureKind] = (),
    makers: Iterable[Maker] = (),
    confusions: Iterable[Confusion] = (),
    tools: Iterable[Tool] = (),
    machines: Iterable[Machine] = (),
    came_on: Iterable[CameOn] = (),
    kits: Iterable[Kit] = (),
    fits: Iterable[KitFit] = (),
    parts: Iterable[Part] = (),
    part_sizes: Iterable[PartSize] = (),
    carburettor_parts: Iterable[CarburettorPart] = (),
    settings: Iterable[Setting] = (),
    costs: Costs | None = None,
) -> Reference:
    """A reference of these carburettors. Makers and kits that are only named get a row of their own."""
    told = tuple(makers)
    named = {m.maker for m in told}
    others = tuple(Maker(maker=m, name=m.capitalize()) for m in dict.fromkeys(k.maker for k in known) if m not in named)
    rows = tuple(kits)
    keys = {row.kit for row in rows}
    more = tuple(Kit(kit=k, name=f"Kit {k}") for k in dict.fromkeys(k for c in known for k in c.kits) if k not in keys)
    return Reference(
        makers=told + others,
        carburettors=tuple(Carburettor(carburettor=k.key, maker=k.maker, share=k.share, name=k.name) for k in known),
        marks=tuple(replace(m, carburettor=k.key) for k in known for m in k.marks),
        features=tuple(
            Feature(carburettor=k.key, feature=feature, value=value, source=f"source {number}")
            for k in known
            for feature, values in k.features.items()
            for number, value in enumerate([values] if isinstance(values, str) else values)
        ),
        feature_kinds=tuple(kinds),
        confusions=tuple(confusions),
        tools=tuple(tools),
        parts=tuple(parts),
        part_sizes=tuple(part_sizes),
        carburettor_parts=tuple(carburettor_parts),
        settings=tuple(settings),
        machines=tuple(machines),
        came_on=tuple(came_on),
        kits=rows + more,
        kit_fits=tuple(KitFit(kit=kit, carburettor=k.key) for k in known for kit in k.kits) + tuple(fits),
        costs=costs or Costs(),
    )


def closed_world(**changes: float) -> Assumptions:
    """Assumptions under which every carburettor is recorded and whole: plain Bayes over the records."""
    return replace(
        shipped_assumptions(),
        **({"unlisted": 0.0, "unlisted_machine": 0.0, "mixed": 0.0, "usual_wrong_share": 1.0} | changes),
    )


def other_assumptions() -> Assumptions:
    """Assumptions unlike the shipped ones, no two alike, so that none can stand in for another."""
    return replace(
        shipped_assumptions(),
        read_identifies=0.71, read_family=0.06, read_casting=0.13, read_cross=0.04, read_elsewhere=0.07,
        book_cross=0.62, part_told_right=0.81, form_told_right=0.77, same_separators=0.64, repeat_worth=0.43,
        unlisted=0.052, unlisted_machine=0.17, unlisted_maker=0.23, unlisted_sibling=0.39, swapped=0.19,
        bought_again=0.31, mixed=0.034, mixed_same_maker=0.83, tag_moved=0.067, loose_tag_moved=0.47,
        look_wrong_untold=0.24, look_wrong_coached=0.11, bench_care=0.37, usual_wrong_share=0.73, group_fault=0.083,
        measure_wrong=0.091, measure_wide=3.3, measure_wild=0.41, kind_strength_decibans=1.3, send_at_least=0.94,
        read_minutes=3.7, read_succeeds=0.53,
    )  # fmt: skip
