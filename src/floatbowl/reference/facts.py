"""What a shop knows, one frozen dataclass a table of a reference pack (version 1).

A field's name is the column's name (``with`` is ``with_`` here, since Python keeps the word).
``None`` or an empty text is "not known". Lengths are millimetres unless ``unit`` says otherwise.
Fields that are a ``key`` together name a row: two rows with one key disagree.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cache
from typing import Any, Final

from floatbowl.reference.fact import Fact, key, needed, numbered, one_of

ROLES: Final = ("identifies", "family", "casting", "cross")
FORMS: Final = ("stamped", "cast", "printed")
FEATURE_KINDS: Final = ("choice", "measure")
HOW_CAME: Final = ("factory", "option", "replacement")
SOURCE_KINDS: Final = ("manual", "bench", "supplier", "owner", "other")
NEEDLES: Final = ("fuel", "air")
INWARD: Final = ("richer", "leaner")


@dataclass(frozen=True, slots=True)
class Maker(Fact):
    maker: str = key()
    name: str = needed()
    pattern: str = ""
    check: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Carburettor(Fact):
    carburettor: str = key()
    maker: str = needed()
    name: str = ""
    share: float | None = numbered(low=0.0)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Mark(Fact):
    carburettor: str = key()
    text: str = key()
    role: str = key(words=ROLES)
    part: str = field(default="", metadata={"key": True})
    form: str = one_of(FORMS)
    with_: str = ""


@dataclass(frozen=True, slots=True)
class Feature(Fact):
    carburettor: str = key()
    feature: str = key()
    value: str = needed()


@dataclass(frozen=True, slots=True)
class FeatureKind(Fact):
    feature: str = key()
    question: str = needed()
    kind: str = needed(words=FEATURE_KINDS)
    choices: str = ""
    unit: str = ""
    wrong_untold: float | None = numbered(low=0.0, high=1.0)
    wrong_coached: float | None = numbered(low=0.0, high=1.0)
    spread: float | None = numbered(low=0.0)
    minutes: float | None = numbered(low=0.0)
    risk: int | None = numbered(low=0, high=3)
    part: str = ""
    needs: str = ""
    how: str = ""
    caution: str = ""

    @property
    def choice_list(self) -> tuple[str, ...]:
        """The choices as words, in the shop's order."""
        return tuple(word.strip() for word in self.choices.split("|") if word.strip())


@dataclass(frozen=True, slots=True)
class Confusion(Fact):
    feature: str = key()
    true: str = key()
    said: str = key()
    weight: float = needed(low=0.0)


@dataclass(frozen=True, slots=True)
class Tool(Fact):
    tool: str = key()
    spread: float = needed(low=0.0)
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Part(Fact):
    part: str = key()
    kind: str = needed()
    name: str = needed()
    cost: float | None = numbered(low=0.0)
    price: float | None = numbered(low=0.0)
    on_hand: float | None = numbered(low=0.0)


@dataclass(frozen=True, slots=True)
class PartSize(Fact):
    part: str = key()
    quantity: str = key()
    value: str = needed()
    unit: str = ""
    tolerance: str = ""
    thread: str = ""


@dataclass(frozen=True, slots=True)
class CarburettorPart(Fact):
    carburettor: str = key()
    part: str = key()
    position: str = field(default="", metadata={"key": True})
    quantity: float | None = numbered(low=0.0)


@dataclass(frozen=True, slots=True)
class Kit(Fact):
    kit: str = key()
    name: str = needed()
    level: str = ""
    fuel: str = ""
    price: float | None = numbered(low=0.0)
    on_hand: float | None = numbered(low=0.0)


@dataclass(frozen=True, slots=True)
class KitPart(Fact):
    kit: str = key()
    part: str = key()
    quantity: float = needed(low=0.0)
    position: str = field(default="", metadata={"key": True})


@dataclass(frozen=True, slots=True)
class KitFit(Fact):
    kit: str = key()
    carburettor: str = key()
    condition: str = field(default="", metadata={"key": True})
    extra_parts: str = ""


@dataclass(frozen=True, slots=True)
class Replacement(Fact):
    old: str = key()
    new: str = key()
    both_ways: str = field(default="", metadata={"words": ("yes", "no")})
    condition: str = ""


@dataclass(frozen=True, slots=True)
class Setting(Fact):
    carburettor: str = key()
    quantity: str = key()
    value: str = needed()
    low: float | None = numbered()
    high: float | None = numbered()
    unit: str = ""
    datum: str = ""
    needle: str = one_of(NEEDLES)
    inward: str = one_of(INWARD)


@dataclass(frozen=True, slots=True)
class Machine(Fact):
    machine: str = key()
    make: str = needed()
    model: str = needed()
    displacement_cm3: float | None = numbered(low=0.0)
    cylinders: int | None = numbered(low=1)
    governed_rpm: float | None = numbered(low=0.0)
    share: float | None = numbered(low=0.0)


@dataclass(frozen=True, slots=True)
class CameOn(Fact):
    machine: str = key()
    carburettor: str = key()
    share: float | None = numbered(low=0.0)
    how: str = field(default="", metadata={"key": True, "words": HOW_CAME})
    serial_from: str = field(default="", metadata={"key": True})
    serial_to: str = ""
    serial_doubt: float | None = numbered(low=0.0)
    year_from: int | None = field(default=None, metadata={"key": True})
    year_to: int | None = numbered()


@dataclass(frozen=True, slots=True)
class Source(Fact):
    # The table's own key is called ``source`` like the column every row may carry.
    title: str = needed()
    kind: str = one_of(SOURCE_KINDS)


@dataclass(frozen=True, slots=True)
class Costs:
    """What a mistake and a minute cost, in the shop's currency. Defaults: formats, version 1 (an estimate)."""

    wrong_kit: float = 25.0
    minute: float = 0.6
    bench: float = 15.0


@dataclass(frozen=True, slots=True)
class Reference:
    """Everything a shop knows, as read from a pack or from the database."""

    makers: tuple[Maker, ...] = ()
    carburettors: tuple[Carburettor, ...] = ()
    marks: tuple[Mark, ...] = ()
    features: tuple[Feature, ...] = ()
    feature_kinds: tuple[FeatureKind, ...] = ()
    confusions: tuple[Confusion, ...] = ()
    tools: tuple[Tool, ...] = ()
    parts: tuple[Part, ...] = ()
    part_sizes: tuple[PartSize, ...] = ()
    carburettor_parts: tuple[CarburettorPart, ...] = ()
    kits: tuple[Kit, ...] = ()
    kit_parts: tuple[KitPart, ...] = ()
    kit_fits: tuple[KitFit, ...] = ()
    replacements: tuple[Replacement, ...] = ()
    settings: tuple[Setting, ...] = ()
    machines: tuple[Machine, ...] = ()
    came_on: tuple[CameOn, ...] = ()
    sources: tuple[Source, ...] = ()
    currency: str = ""
    costs: Costs = Costs()


#: Table name (file name without ending) to the dataclass of its rows, in the order they are read and written.
TABLES: Final[Mapping[str, type[Fact]]] = {
    "makers": Maker,
    "carburettors": Carburettor,
    "marks": Mark,
    "feature_kinds": FeatureKind,
    "features": Feature,
    "confusions": Confusion,
    "tools": Tool,
    "parts": Part,
    "part_sizes": PartSize,
    "carburettor_parts": CarburettorPart,
    "kits": Kit,
    "kit_parts": KitPart,
    "kit_fits": KitFit,
    "replacements": Replacement,
    "settings": Setting,
    "machines": Machine,
    "came_on": CameOn,
    "sources": Source,
}

#: Tables a pack may leave out.
OPTIONAL_TABLES: Final = frozenset(
    {
        "confusions",
        "tools",
        "parts",
        "part_sizes",
        "carburettor_parts",
        "kit_parts",
        "replacements",
        "settings",
        "sources",
    }
)


def key_fields(kind: type[Fact]) -> tuple[str, ...]:
    """Names of the fields that together name a row of this table."""
    hashable: Any = kind  # mypy takes the rows' own __hash__ for the class's
    return _key_fields(hashable)


@cache
def _key_fields(kind: Any) -> tuple[str, ...]:
    if kind is Source:
        return ("source",)
    return tuple(f.name for f in fields(kind) if f.metadata.get("key"))


def key_of(fact: Fact) -> tuple[object, ...]:
    """The value of a row's key.

    >>> key_of(Tool(tool="rule", spread=0.5))
    ('rule',)
    """
    return tuple(getattr(fact, name) for name in key_fields(type(fact)))
