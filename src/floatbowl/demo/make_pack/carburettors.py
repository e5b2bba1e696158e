"""The carburettors: each build's hand-written numbers, and more of the same build by chance."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Final

from floatbowl.demo.make_pack.chance import chance_for
from floatbowl.demo.make_pack.numbers import NEXT_NUMBER, key_of_number
from floatbowl.demo.make_pack.tables import Row, hand_written

FEATURES: Final = tuple(row["feature"] for row in hand_written("feature_kinds"))
OTHER_WAY: Final = {
    "choke lever side": {"left": "right", "right": "left"},
    "choke kind": {"plain plate": "plate with sprung flap", "plate with sprung flap": "plain plate"},
}
#: What nobody wrote down for many of the less common ones.
OFTEN_UNRECORDED: Final = ("height", "weight", "castings", "rivet spacing", "air inlet diameter", "choke kind")
UNRECORDED: Final = 0.12
RAISED_ONLY: Final = ("6.117.2", "4.131.5")


@dataclass(frozen=True)
class Carburettor:
    """One carburettor with the rows of its build and family. ``by_hand``: a story or a look-alike needs it exact."""

    key: str
    number: str
    maker: str
    name: str
    share: float | None
    by_hand: bool
    build: dict[str, str]
    family: dict[str, str]
    features: dict[str, str]

    @property
    def build_key(self) -> str:
        """Which build it is; all of one build take the same kit."""
        return f"{self.build['family']}-{self.build['build']}"

    @property
    def family_name(self) -> str:
        """The family as it is spoken of: maker, device and the beginning of its numbers."""
        stem = self.family["stem"].strip("/-.")
        return " ".join(filter(None, (self.maker.capitalize(), self.family["device"], stem)))

    @property
    def page(self) -> int:
        """The page of its maker's manual: a family's numbers stand together."""
        return 4 + sum(map(ord, self.build["family"])) % 60


def name_of(maker: str, number: str, device: str, bar: str) -> str:
    words = [maker.capitalize(), device, number, bar if bar != "none" else ""]
    return " ".join(word for word in words if word)


def nominal_features(family: dict[str, str], build: dict[str, str], of_maker: dict[str, str]) -> dict[str, str]:
    """All features of a build as its drawing would give them."""
    known = {**of_maker, **family, **build, "seat thread": build["seat_thread"]}
    return {name: known[name] for name in FEATURES if known.get(name)}


def varied(random: Random, features: dict[str, str], build: dict[str, str]) -> dict[str, str]:
    """The features of one generated number: its own lever or plate, its own weight, and gaps in what is recorded."""
    own = dict(features)
    for feature in filter(None, build["vary"].split("|")):
        if random.random() < 0.45:
            own[feature] = OTHER_WAY[feature][own[feature]]
    own["weight"] = str(int(own["weight"]) + 5 * int(random.random() * 9 - 4))
    return {name: value for name, value in own.items() if name not in OFTEN_UNRECORDED or random.random() > UNRECORDED}


def share_of(random: Random) -> float:
    """How often one turns up, beside 1 for those written by hand: few are common, most are rare (estimate)."""
    return round(min(3.0, float(0.12 / (0.03 + random.random()) ** 0.9)), 2)


def numbers_of(build: dict[str, str], family: dict[str, str], taken: set[str]) -> list[tuple[str, bool]]:
    """The numbers of a build and whether each was written by hand. A flat build repeats some of its raised numbers."""
    random = chance_for("numbers", build["family"], build["build"])
    numbers = [(number, True) for number in build["numbers"].split("|")]
    bar = build["bar mark"] if family["maker"] == "sallowby" else ""
    if bar == "flat" and build["build"] == "2":
        ends = "|raised"
        raised = sorted(
            name.removesuffix(ends) for name in taken if name.endswith(ends) and name.startswith(family["stem"])
        )
        spare = [number for number in raised if number not in (*build["numbers"].split("|"), *RAISED_ONLY)]
        return numbers + [(number, False) for number in spare[: int(build["more"])]]
    while len(numbers) < len(build["numbers"].split("|")) + int(build["more"]):
        number = NEXT_NUMBER[family["maker"]](random, family["stem"])
        name = f"{number}|{bar}"
        if name not in taken:
            taken.add(name)
            numbers.append((number, False))
    return numbers


def make_carburettors() -> list[Carburettor]:
    """Every carburettor of the shop, by maker and number."""
    families = {row["family"]: row for row in hand_written("families")}
    of_maker: dict[str, dict[str, str]] = {}
    for row in hand_written("maker_features"):
        of_maker.setdefault(row["maker"], {})[row["feature"]] = row["value"]
    builds = hand_written("builds")
    taken: set[str] = set()
    for build in builds:
        bar = build["bar mark"] if families[build["family"]]["maker"] == "sallowby" else ""
        taken.update(f"{number}|{bar}" for number in build["numbers"].split("|"))
    made = [
        one_of_build(number, by_hand, build, families[build["family"]], of_maker)
        for build in builds
        for number, by_hand in numbers_of(build, families[build["family"]], taken)
    ]
    return sorted(made, key=lambda one: (one.maker, one.key))


def one_of_build(
    number: str, by_hand: bool, build: dict[str, str], family: dict[str, str], of_maker: dict[str, dict[str, str]]
) -> Carburettor:
    maker, device = family["maker"], family["device"]
    bar = build["bar mark"] if maker == "sallowby" else ""
    random = chance_for("one", device, number, bar)
    features = nominal_features(family, build, of_maker[maker])
    return Carburettor(
        # Brattock stamps recur under another device: only the commonest stands without it.
        key=key_of_number("star" if (device, number) == ("STAR", "206-D-3") else "", number, bar),
        number=number,
        maker=maker,
        name=name_of(maker, number, device, bar),
        share=None if by_hand else share_of(random),
        by_hand=by_hand,
        build=build,
        family=family,
        features=features if by_hand else varied(random, features, build),
    )


def carburettor_rows(made: list[Carburettor]) -> list[Row]:
    """The rows of the table ``carburettors``."""
    return [
        {
            "carburettor": one.key,
            "maker": one.maker,
            "name": one.name,
            "share": one.share,
            "note": one.family["note"],
            "source": MANUALS[one.maker],
            "page": one.page,
        }
        for one in made
    ]


MANUALS: Final = {
    "tarnsyke": "tarnsyke-manual",
    "brattock": "brattock-works",
    "sallowby": "sallowby-service",
    "cawdle": "cawdle-book",
    "yelbourn": "yelbourn-sheet",
}


def feature_rows(made: list[Carburettor]) -> list[Row]:
    """The rows of the table ``features``: measures learnt on our bench, the rest from the maker's manual."""
    measures = {row["feature"] for row in hand_written("feature_kinds") if row["kind"] == "measure"}
    return [
        {
            "carburettor": one.key,
            "feature": feature,
            "value": value,
            "source": "nettlebeck-bench" if feature in measures else MANUALS[one.maker],
            "page": one.page if feature not in measures else 10 + one.page // 3,
        }
        for one in made
        for feature, value in one.features.items()
    ]
