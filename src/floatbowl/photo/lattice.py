"""Everything that was seen of one line, kept together: any text can be asked how well it fits all of it.

Each source (our recogniser's views, a stock recogniser's pictures) is a matrix of probabilities of characters along the
line. A text's score is the weighted sum of the logarithms of its probabilities under each, summed over alignments. A
picture and its negative are one source: either may be the one to read. No source is reduced to one text first. The
weights were fitted on renders that nobody scores (``data/fusion.json``).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final

import numpy as np

from floatbowl.photo.alphabet import BLANK, CHARACTERS, SEPARATORS, unusual, without_separators
from floatbowl.photo.ctc import Encoded, Floats, encoded, likeliest_texts, log_sums

#: Texts kept of each search: of our own recogniser, and of each picture of the stock one.
_OWN_BEAM: Final = 24
_STOCK_BEAM: Final = 4
#: Likeliest texts whose every neighbour by one character is scored too.
_EXPANDED: Final = 4
#: No single place along the line may speak more strongly than this against a character.
_LEAST_CHANCE: Final = 1e-5
#: Some makers cut a 1 as a plain stroke, just like an I: how likely a 1 is to be one, against an I. Common practice of
#: marks; our recogniser learned from lettering that mostly has a flag on its 1.
_PLAIN_ONE: Final = 0.1
_ONE: Final = CHARACTERS.index("1") + 1
_I: Final = CHARACTERS.index("I") + 1
_SEPARATING: Final = tuple(CHARACTERS.index(c) + 1 for c in SEPARATORS)


@dataclass(frozen=True, slots=True)
class Mixture:
    """How the sources are weighed. ``own`` is shared by our views, ``stock`` by the pictures of the stock recogniser;
    ``length`` is added for every character; ``sharpness`` turns scores into log-probabilities. ``unusual`` is added
    for every I, O or Q beside a digit and every letter right after one: a habit of marks in general, not of any
    catalogue."""

    own: float
    stock: Mapping[str, float]
    length: float
    sharpness: float
    unusual: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Source:
    """Matrices ``[places, characters]`` of logarithms, one of which is right, and the weight of their mean."""

    name: str
    log_probs: tuple[Floats, ...]
    weight: float

    def log_sums(self, texts: Sequence[str] | Encoded) -> Floats:
        """Log-probabilities of texts under the mean of the matrices."""
        each = [log_sums(matrix, texts) for matrix in self.log_probs]
        return np.asarray(np.logaddexp.reduce(each, axis=0) - np.log(len(each)))


@dataclass(frozen=True, slots=True)
class CharacterLattice:
    """The sources, and the likeliest texts under all of them with their probabilities among these."""

    sources: tuple[Source, ...]
    mixture: Mixture
    texts: tuple[str, ...]
    probabilities: Floats
    #: Logarithm of the sum over ``texts``: what their scores are to be held against.
    log_total: float

    @property
    def text(self) -> str:
        """The likeliest text."""
        return self.texts[0]

    def scores(self, texts: Sequence[str]) -> Floats:
        """Log-probabilities of texts by what is seen alone, among all that were found.

        Raises ``ValueError`` for a character outside the alphabet.
        """
        return scores_of(self.sources, self.mixture, texts) - self.log_total

    def scores_of_numbers(self, texts: Sequence[str]) -> Floats:
        """The same for texts whose separators count for nothing: where a line shows one, none need be meant."""
        folded = tuple(Source(s.name, tuple(map(_folded, s.log_probs)), s.weight) for s in self.sources)
        return scores_of(folded, self.mixture, [without_separators(text) for text in texts]) - self.log_total


def lattice(own: Sequence[Floats], stock: Mapping[str, Floats]) -> CharacterLattice:
    """All that was seen, weighed as fitted. Raises ``ValueError`` when nothing was."""
    shape = "relief" if any(name.startswith("relief") for name in stock) else "plain"
    return mixed(own, stock, mixtures()[shape])


def mixed(own: Sequence[Floats], stock: Mapping[str, Floats], mixture: Mixture) -> CharacterLattice:
    """The same with another mixture."""
    if not own:
        raise ValueError("no view of the line was read")
    sources = sources_of(own, stock, mixture)
    found = searched(sources, mixture)
    texts, scores = list(found), np.array(list(found.values()))
    log_total = float(np.logaddexp.reduce(scores))
    scores += habits_of(mixture, texts)
    order = np.argsort(-scores, kind="stable")
    total = float(np.logaddexp.reduce(scores))
    likeliest = tuple(texts[at] for at in order)
    return CharacterLattice(sources, mixture, likeliest, np.exp(scores[order] - total), log_total)


def sources_of(own: Sequence[Floats], stock: Mapping[str, Floats], mixture: Mixture) -> tuple[Source, ...]:
    """Our views, then the stock recogniser's pictures that count for something."""
    views = [Source(f"own {at}", (_bounded(with_plain_ones(v)),), mixture.own / len(own)) for at, v in enumerate(own)]
    pictures: dict[str, list[Floats]] = {}
    for name, matrix in stock.items():
        pictures.setdefault(name.rstrip("+-"), []).append(_bounded(matrix))
    weights = mixture.stock
    read = [Source(name, tuple(each), weights.get(name, 0.0)) for name, each in pictures.items()]
    return (*views, *(source for source in read if source.weight > 0))


def scores_of(sources: Sequence[Source], mixture: Mixture, texts: Sequence[str]) -> Floats:
    """Weighted log-probabilities of texts."""
    rows = encoded(texts)
    total = mixture.length * np.array([len(text) for text in texts], np.float64)
    for source in sources:
        total += source.weight * source.log_sums(rows)
    return np.asarray(mixture.sharpness * total)


def habits_of(mixture: Mixture, texts: Sequence[str]) -> Floats:
    """What is added to the log-probability of texts for being written as marks seldom are."""
    counts = np.array([unusual(text) for text in texts], np.float64).reshape(-1, 2)
    return np.asarray(counts @ np.array(mixture.unusual))


def searched(sources: Sequence[Source], mixture: Mixture) -> dict[str, float]:
    """Texts worth scoring, with their scores: what each source finds, then all neighbours of the best by one character,
    twice."""
    views = [source.log_probs[0] for source in sources if source.name.startswith("own")]
    begun = set(likeliest_texts(_mean(views), _OWN_BEAM))
    for source in sources[len(views) :]:
        for matrix in source.log_probs:
            begun.update(likeliest_texts(matrix, _STOCK_BEAM))
    found: dict[str, float] = {}
    _add(found, {text.strip() for text in begun}, sources, mixture)
    expanded: set[str] = set()
    for _ in range(2):
        best = set(sorted(found, key=lambda text: -found[text])[:_EXPANDED]) - expanded
        expanded |= best
        _add(found, {other for text in best for other in one_apart(text)}, sources, mixture)
    return found


def _add(found: dict[str, float], texts: set[str], sources: Sequence[Source], mixture: Mixture) -> None:
    new = sorted(texts - found.keys())
    if new:
        found.update(zip(new, scores_of(sources, mixture, new).tolist(), strict=True))


def one_apart(text: str) -> list[str]:
    """Texts with one character changed, left out or put in.

    >>> "K36" in one_apart("K86"), "K3" in one_apart("K36"), "K366" in one_apart("K36")
    (True, True, True)
    """
    ends = [(text[:at], text[at:]) for at in range(len(text) + 1)]
    changed = [a + c + b[1:] for a, b in ends if b for c in CHARACTERS]
    shorter = [a + b[1:] for a, b in ends if b]
    longer = [a + c + b for a, b in ends for c in CHARACTERS]
    return changed + shorter + longer


def _mean(views: Sequence[Floats]) -> Floats:
    """One matrix of all views: the mean of their logarithms, made to add up again. They have the same places."""
    total = np.mean(np.stack(views), axis=0)
    return np.asarray(total - np.log(np.exp(total).sum(axis=1, keepdims=True)))


def with_plain_ones(log_probs: Floats) -> Floats:
    """A matrix in which whatever looks like an I may be a 1 cut as a plain stroke."""
    probs = np.exp(log_probs)
    probs[:, _ONE] += _PLAIN_ONE * probs[:, _I]
    return np.asarray(np.log(np.maximum(probs / probs.sum(axis=1, keepdims=True), 1e-300)))


def _bounded(log_probs: Floats) -> Floats:
    probs = np.exp(log_probs) + _LEAST_CHANCE
    return np.asarray(np.log(probs / probs.sum(axis=1, keepdims=True)))


def _folded(log_probs: Floats) -> Floats:
    """Separators count as "no new character"."""
    probs = np.exp(log_probs)
    probs[:, BLANK] += probs[:, _SEPARATING].sum(axis=1)
    probs[:, _SEPARATING] = 1e-12
    return np.asarray(np.log(probs))


@cache
def mixtures() -> dict[str, Mixture]:
    """The fitted mixtures: ``plain`` without torch pictures, ``relief`` with them."""
    stored = json.loads(resources.files("floatbowl.photo").joinpath("data", "fusion.json").read_text(encoding="utf-8"))
    return {
        name: Mixture(each["own"], each["stock"], each["length"], each["sharpness"], tuple(each["unusual"]))
        for name, each in stored["mixtures"].items()
    }
