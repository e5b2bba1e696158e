"""Readings drawn from the error model itself, character by character, to see whether its rates are found again."""

from __future__ import annotations

import random

from floatbowl.identify.numbers import Alphabet, symbols_of_mark
from floatbowl.identify.wear import Rates, confusion


class Sampler:
    """Draws readings of marks under given rates; exchanged neighbours, and whole turns, are left to others."""

    def __init__(self, rates: Rates, via: str, alphabet: Alphabet, rng: random.Random) -> None:
        self.rates, self.alphabet, self.rng = rates, alphabet, rng
        self.taken_for = {s: confusion(rates, via, alphabet.size, s).tolist() for s in ("clean", "worn")}

    def happens(self, rate: float) -> bool:
        return self.rng.random() < rate

    def read(self, mark: str) -> str:
        """One reading of a mark: its characters, ``?`` for those given up."""
        rates, symbols = self.rates, symbols_of_mark(mark, self.alphabet)
        state = "worn" if self.happens(rates.start_worn) else "clean"
        at, read = 0, ""
        if self.happens(rates.lost_start):
            at = 1
            while at < len(symbols) and self.happens(rates.lost_more):
                at += 1
        read += self.extras()
        for symbol in symbols[at:]:
            if self.happens(rates.lost_end):
                return read
            state = "worn" if self.happens(rates.go_worn if state == "clean" else rates.stay_worn) else "clean"
            read += self.character(symbol, state) + self.extras()
        return read

    def character(self, symbol: int, state: str) -> str:
        unread, gone = getattr(self.rates, f"unread_{state}"), getattr(self.rates, f"gone_{state}")
        kind = self.rng.random()
        if kind < unread:
            return "?"
        if kind < unread + gone:
            return ""
        (found,) = self.rng.choices(range(self.alphabet.size), self.taken_for[state][symbol])
        return self.alphabet.show(found)

    def extras(self) -> str:
        found = ""
        while self.happens(self.rates.extra):
            found += (
                "?" if self.happens(self.rates.extra_unread) else self.rng.choice("0123456789ABCDEFGHJKLMNPRSTUVWXYZ")
            )
        return found
