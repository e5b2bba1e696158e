"""An answer printed for a person: kits first, then why, what differs and what to look at next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Final

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from floatbowl.shop.pages.counter import words

if TYPE_CHECKING:
    from floatbowl.identify.answer import Answer, Chance, NextLook, Reason
    from floatbowl.identify.weigh import Weigher

MOST_SHOWN: Final = 6
#: Chances below this are left out of what a person reads; the rest are in the results of a batch.
WORTH_A_LINE: Final = 0.005
MOST_LOOKS: Final = 3
#: Chances at least this large are named in a short answer.
MENTIONED: Final = 0.02


def console(width: int | None = None) -> Console:
    """A console that takes texts as they are: ``[83]`` is no markup. Plain when the output is no terminal."""
    return Console(markup=False, highlight=False, emoji=False, soft_wrap=False, width=width)


class Names:
    """What people call kits, carburettors and features of one reference."""

    def __init__(self, weigher: Weigher) -> None:
        self._weigher = weigher
        self._kits = {kit.kit: kit for kit in weigher.reference.kits}
        self.currency = weigher.reference.currency

    def carburettor(self, key: str) -> str:
        """The name of a carburettor, not its key."""
        at = self._weigher.catalogue.at
        return self._weigher.name(at[key]) if key in at else key

    def kit(self, key: str) -> str:
        """The name of a kit, with the number it is ordered by."""
        name = self._kits[key].name if key in self._kits else ""
        return f"{name} ({key})" if name and name != key else key

    def version(self, key: str) -> str:
        """Level, fuel, price and what is on the shelf."""
        kit = self._kits[key]
        price = "" if kit.price is None else f"{kit.price:.2f} {self.currency}".strip()
        shelf = "" if kit.on_hand is None else (f"{kit.on_hand:g} on hand" if kit.on_hand >= 1 else "none on hand")
        return ", ".join(filter(None, (kit.level, kit.fuel, price, shelf)))


def show(answer: Answer, weigher: Weigher, to: Console) -> None:
    """Everything there is to say about one enquiry."""
    names = Names(weigher)
    for title, block in (
        ("Kits", _kits(answer, names)),
        ("Carburettors", _carburettors(answer, names)),
        ("What disagrees", _lines(answer.contradictions)),
        ("Why", _reasons(answer.reasons, names)),
        ("What the remaining ones differ in", _differences(answer, names)),
        ("Look next", _looks(answer)),
        ("Say besides", _lines(answer.warnings)),
        ("What to do", Text(advice_sentence(answer, names), style="bold")),
    ):
        if block is not None:
            to.print(Text(title, style="bold underline"))
            to.print(Padding(block, (0, 0, 1, 2)))


def advice_sentence(answer: Answer, names: Names) -> str:
    """What to do now, in one or two sentences."""
    advice = answer.advice
    if advice.action == "send" and advice.kit:
        told = f"Read it back to the caller, then send {names.kit(advice.kit)}."
        return f"{told} Evidence: {words.listed(list(advice.kinds))}." if advice.kinds else told
    if advice.action == "bench":
        return f"{advice.why} Ask for the carburettor to be sent in to the bench."
    asked = _asked(answer)
    return f"Ask first: {asked} {advice.why}" if asked else advice.why


def show_briefly(answer: Answer, weigher: Weigher, to: Console) -> None:
    """The same in a few lines: carburettor, kit, how sure, why, what to look at next."""
    names = Names(weigher)
    table = _table()
    for label, says in (
        ("Carburettor", _likeliest(answer, names)),
        ("Kit", _likeliest_kit(answer, names)),
        ("Why", "\n".join(_short_reason(reason) for reason in answer.reasons[:MOST_LOOKS])),
        ("But", "\n".join((*answer.contradictions, *answer.warnings))),
        ("Next", "" if answer.advice.action == "send" else _first_look(answer)),
        ("Do", advice_sentence(answer, names)),
    ):
        if says:
            table.add_row(Text(label, style="bold"), says)
    to.print(Padding(table, (0, 0, 1, 2)))


def _likeliest(answer: Answer, names: Names) -> str:
    told = [(c.probability, names.carburettor(c.key)) for c in answer.carburettors[:2]]
    told += [(answer.not_listed, "not in our records"), (answer.mixed, "built from two")]
    worth = sorted((each for each in told if each[0] >= MENTIONED), reverse=True)
    return "; ".join(f"{name}, {words.in_100(chance)}" for chance, name in worth) or "none is likely"


def _likeliest_kit(answer: Answer, names: Names) -> str:
    chance = next((c for c in answer.kits if c.key == answer.advice.kit), None)
    if chance is None and answer.no_kit >= 0.5:
        return f"{words.in_100(answer.no_kit)} we have no kit for it"
    chance = chance or next(iter(answer.kits), None)
    return f"{words.in_100(chance.probability)} {names.kit(chance.key)}" if chance else "none is likely"


def _short_reason(reason: Reason) -> str:
    speaks = "for it" if reason.decibans >= 0 else "against it"
    return f"{reason.says} ({words.weight(reason.decibans)} {speaks})"


def _first_look(answer: Answer) -> str:
    if not answer.next:
        return ""
    look = answer.next[0]
    told = f"{look.question} ({words.minutes(look.minutes)}; {words.RISKS[min(look.risk, 3)]})"
    return f"{told} {look.caution}" if look.caution else told


def _asked(answer: Answer) -> str:
    advice = answer.advice
    for look in answer.next:
        if (look.feature or look.mark) == (advice.ask_feature or advice.ask_mark):
            return look.question
    return f"{advice.ask_feature or advice.ask_mark}?" if advice.ask_feature or advice.ask_mark else ""


def _kits(answer: Answer, names: Names) -> RenderableType:
    worth = [chance for chance in answer.kits if chance.probability >= WORTH_A_LINE]
    if not worth:
        return Text("No kit is likely.")
    table = _table()
    before = ""
    for place, chance in enumerate(worth[:MOST_SHOWN]):
        sure = words.in_100(chance.probability)
        # Versions of one kit are as likely as one another: say it once.
        told = "" if sure == before else sure + (" this kit" if place == 0 else "")
        table.add_row(told, names.kit(chance.key), names.version(chance.key))
        before = sure
    return Group(table, *_more(len(worth) - MOST_SHOWN, "kits, none likelier"))


def _carburettors(answer: Answer, names: Names) -> RenderableType:
    table = _table()
    worth = [chance for chance in answer.carburettors if chance.probability >= WORTH_A_LINE]
    for chance in worth[:MOST_SHOWN]:
        table.add_row(words.in_100(chance.probability), names.carburettor(chance.key))
    for says, probability in (
        ("not in our records", answer.not_listed),
        ("built from two", answer.mixed),
        ("in our records, and there is no kit for it", answer.no_kit),
    ):
        if probability >= WORTH_A_LINE:
            table.add_row(words.in_100(probability), says)
    castings = [f"The {part} by itself: {_best(chances, names)}." for part, chances in answer.parts.items() if chances]
    return Group(table, *_more(len(worth) - MOST_SHOWN, "carburettors, none likelier"), *map(Text, castings))


def _best(chances: Iterable[Chance], names: Names) -> str:
    return words.listed([f"{names.carburettor(c.key)}, {words.in_100(c.probability)}" for c in list(chances)[:2]], "or")


def _reasons(reasons: Iterable[Reason], names: Names) -> RenderableType | None:
    table = _table()
    for reason in reasons:
        speaks = "for" if reason.decibans >= 0 else "against"
        table.add_row(f"{words.weight(reason.decibans)}, {speaks}", reason.says, words.times(reason.decibans))
    return table if table.row_count else None


def _differences(answer: Answer, names: Names) -> RenderableType | None:
    if not answer.differences:
        return None
    table = _table()
    for difference in answer.differences[:MOST_SHOWN]:
        table.add_row(difference.what, "\n".join(_values(difference.values, names)))
    return Group(table, *_more(len(answer.differences) - MOST_SHOWN, "differences"))


def _values(values: Mapping[str, tuple[str, ...]], names: Names) -> list[str]:
    return [f"{value}: {words.listed([names.carburettor(key) for key in keys])}" for value, keys in values.items()]


def _looks(answer: Answer) -> RenderableType | None:
    if not answer.next or answer.advice.action == "send":
        return None
    return Group(*(Padding(_look(look), (0, 0, 1, 0)) for look in answer.next[:MOST_LOOKS]))


def _look(look: NextLook) -> RenderableType:
    told = Text(look.question or f"{look.feature or look.mark}?", style="bold")
    told.append(f"\n{words.minutes(look.minutes).capitalize()}; {words.RISKS[min(look.risk, 3)]}. {look.why}", style="")
    parts = [("How: ", look.how), ("Needs: ", look.needs), ("Caution: ", look.caution)]
    for label, says in parts:
        if says:
            told.append(f"\n{label}{says}", style="bold" if label == "Caution: " else "")
    return told


def _lines(says: Iterable[str]) -> RenderableType | None:
    found = [Text(line) for line in says]
    return Group(*found) if found else None


def _more(count: int, what: str) -> list[Text]:
    return [Text(f"and {count} more {what}")] if count > 0 else []


def _table() -> Table:
    """Columns without rules; long words are folded, so that nothing is lost on a narrow screen."""
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0), pad_edge=False)
    table.add_column(overflow="fold", min_width=9)
    table.add_column(overflow="fold", ratio=1)
    return table
