"""Texts that one worn or lost character would turn into one another, found without comparing every pair."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from floatbowl.reference.columns import DEVICE

#: Left out before marks are compared: weak evidence, often read or typed otherwise.
WEAK = str.maketrans("", "", " -/.\t\n\u00a0")
#: Devices stand as one character each, from the private range.
_FIRST_DEVICE = 0xE000


def plain_texts(texts: Iterable[str]) -> dict[str, str]:
    """Each text as it is compared: capital letters and digits, one character a device.

    >>> plain_texts(["206-d-3"])
    {'206-d-3': '206D3'}
    """
    devices: dict[str, str] = {}

    def one_character(word: str) -> str:
        return devices.setdefault(word.upper(), chr(_FIRST_DEVICE + len(devices) % 6000))

    return {
        text: DEVICE.sub(lambda found: one_character(found[0]), text).translate(WEAK).upper()
        if "{" in text
        else text.translate(WEAK).upper()
        for text in texts
    }


def one_character_apart(texts: Iterable[str]) -> dict[str, set[str]]:
    """For every text the others that differ in one place, or lack one character of it.

    >>> {k: sorted(v) for k, v in one_character_apart(["K118", "K113", "K18", "N200"]).items()}
    {'K118': ['K113', 'K18'], 'K113': ['K118'], 'K18': ['K118']}
    """
    known = dict.fromkeys(texts)
    near: dict[str, set[str]] = {}

    def join(one: str, other: str) -> None:
        near.setdefault(one, set()).add(other)
        near.setdefault(other, set()).add(one)

    by_length: dict[int, list[str]] = defaultdict(list)
    for text in known:
        by_length[len(text)].append(text)
    for length, same in by_length.items():
        for place in range(length):
            alike: dict[str, list[str]] = defaultdict(list)
            for text in same:
                alike[text[:place] + text[place + 1 :]].append(text)
            for shorter, group in alike.items():
                for text in group:
                    near_text = near.setdefault(text, set()) if len(group) > 1 else None
                    if near_text is not None:
                        near_text.update(group)
                if shorter in known:
                    for text in group:
                        join(text, shorter)
    for text, others in near.items():
        others.discard(text)
    return {text: near[text] for text in known if near.get(text)}
