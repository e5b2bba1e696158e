"""Chances, weights and lengths as the counter says them."""

from __future__ import annotations

#: Decibans from which a word is used; common usage for Bayes factors (10 dB is ten to one). Words: ours.
WEIGHTS = ((20.0, "very strong"), (10.0, "strong"), (5.0, "fair"), (2.0, "slight"), (0.0, "hardly any"))

RISKS = ("no risk to it", "little risk to it", "some risk to it", "easily damaged: better at the bench")


def in_100(probability: float) -> str:
    """A chance as so many in a hundred.

    >>> in_100(0.968), in_100(0.9991), in_100(0.003)
    ('97 in 100', 'more than 99 in 100', 'less than 1 in 100')
    """
    if probability > 0.995:
        return "more than 99 in 100"
    if probability < 0.01:
        return "less than 1 in 100"
    return f"{round(probability * 100)} in 100"


def weight(decibans: float) -> str:
    """How strongly a piece of evidence speaks, in a word.

    >>> weight(12.1), weight(-3)
    ('strong', 'slight')
    """
    return next(word for least, word in WEIGHTS if abs(decibans) >= least)


def times(decibans: float) -> str:
    """The same weight as odds, for whoever opens it.

    >>> times(10.0)
    'makes it 10 times as likely (10.0 decibans)'
    >>> times(-3.0)
    'makes it half as likely (-3.0 decibans)'
    """
    factor = 10 ** (abs(decibans) / 10)
    much = f"{factor:,.0f} times" if factor >= 10 else f"{factor:.1f} times"
    if decibans >= 0:
        return f"makes it {much} as likely ({decibans:.1f} decibans)"
    less = "half as likely" if abs(factor - 2) < 0.05 else f"{much} less likely"
    return f"makes it {less} ({decibans:.1f} decibans)"


def minutes(much: float) -> str:
    """A time as people say it.

    >>> minutes(0.5), minutes(1), minutes(2.5)
    ('half a minute', '1 minute', '2½ minutes')
    """
    if much <= 0:
        return "no time at all"
    if much < 0.75:
        return "half a minute"
    halves = round(much * 2)
    whole, half = divmod(halves, 2)
    if whole == 1 and not half:
        return "1 minute"
    return f"{whole}{'½' if half else ''} minutes"


def listed(words: list[str], joint: str = "and") -> str:
    """Words in a row, as one says them.

    >>> listed(["gasket", "seat", "jet"])
    'gasket, seat and jet'
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joint} {words[-1]}"


def amount(quantity: float) -> str:
    """How many of a part: no needless decimals.

    >>> amount(2.0), amount(0.5)
    ('2', '0.5')
    """
    return f"{quantity:g}"


def number(value: float) -> str:
    """A measured figure as it was meant.

    >>> number(60.5), number(64.0)
    ('60.5', '64')
    """
    return f"{value:g}"


def kind(name: str) -> str:
    """A kind of evidence, as it is listed.

    >>> kind("number"), kind("look at the bowl")
    ('a number that was read', 'a look at the bowl')
    """
    known = {"number": "a number that was read", "measure": "a measure that was taken", "look": "a look at the whole"}
    return known.get(name, f"a {name}")


def times_in_100(probability: float) -> str:
    """A chance as so many times in a hundred.

    >>> times_in_100(0.42), times_in_100(0.999), times_in_100(0.001)
    ('42 times in 100', 'more than 99 times in 100', 'less than once in 100')
    """
    if probability < 0.01:
        return "less than once in 100"
    if round(probability * 100) == 1:
        return "once in 100"
    return in_100(probability).replace(" in", " times in")


def read_out(text: str) -> str:
    """A doubtful reading as it is said aloud.

    >>> read_out("K3?/11[83]"), read_out("20*6")
    ('K3(unreadable)/11(8 or 3)', '20 … 6')
    """
    said, at = "", 0
    while at < len(text):
        sign, end = text[at], text.find("]", at)
        if sign == "\\" and at + 1 < len(text):
            at += 1
            said += text[at]
        elif sign == "?":
            said += "(unreadable)"
        elif sign == "*":
            said += " … "
        elif sign == "[" and end > at:
            said += f"({' or '.join(text[at + 1 : end])})"
            at = end
        else:
            said += sign
        at += 1
    return said.strip()
