"""One enquiry from the command line: words matched to what the shop knows, or said to be unknown with near ones."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, Final

from floatbowl.cli.item_options import Item
from floatbowl.reference.enquiries import EnquiryError, enquiry_from_json
from floatbowl.reference.observed import UNINFORMATIVE, Enquiry
from floatbowl.units import MM_PER_INCH, parse_length_mm

if TYPE_CHECKING:
    from floatbowl.identify.weigh import Weigher

_MOST_NEAR: Final = 6
_SPREAD_SIGNS: Final = ("±", "+-", "+/-")


class UnknownWords(ValueError):  # noqa: N818 - it carries many, each a fault
    """What was typed and is not known. ``says`` holds a sentence for each."""

    def __init__(self, says: list[str]) -> None:
        super().__init__("\n".join(says))
        self.says = says


def enquiry_of(weigher: Weigher, items: Iterable[Item], about: dict[str, Any]) -> Enquiry:
    """The enquiry that was typed. ``about`` holds fields of the enquiry format. Raises ``UnknownWords``."""
    faults: list[str] = []
    told: dict[str, Any] = {"readings": [], "looks": [], **about}
    _known_machine(weigher, told, faults)
    _known_wants(weigher, told, faults)
    for item in items:
        try:
            if item.kind == "reading":
                told["readings"].append(_reading(item))
            else:
                told["looks"].append(_look(weigher, item))
        except ValueError as fault:
            faults.append(f"--{item.kind} {item.text!r}: {fault}")
    if faults:
        raise UnknownWords(faults)
    try:
        return enquiry_from_json(told)
    except EnquiryError as fault:
        raise UnknownWords([f"{fault.field}: {fault.says}"]) from fault


def _reading(item: Item) -> dict[str, Any]:
    return {"text": item.text, **{name: value for name, value in item.about.items() if name != "coached"}}


def _look(weigher: Weigher, item: Item) -> dict[str, Any]:
    from floatbowl.identify.features import ChoiceColumn

    named, equals, said = (part.strip() for part in item.text.partition("="))
    if not (named and equals and said):
        raise ValueError(f'write it as "feature=answer", such as --{item.kind} "inlet side=left"')
    feature = _known(named, weigher.features, "feature")
    column = weigher.features[feature]
    about = {name: value for name, value in item.about.items() if name != "form"}
    if said.lower() in UNINFORMATIVE:
        return {"feature": feature, "value": said.lower(), **about}
    if isinstance(column, ChoiceColumn):
        return {"feature": feature, "value": _known(said, column.choices, f"answer to {feature!r}"), **about}
    return {"feature": feature, **_measured(weigher, said, column.kind.unit), **about}


def _measured(weigher: Weigher, said: str, unit: str) -> dict[str, Any]:
    """``60.5 rule``, ``2 3/8 in calliper``, ``60.5 ±0.3``: a number in the feature's unit, and its tool or spread."""
    words = said.split()
    for count in range(len(words), 0, -1):
        try:
            value = _in_unit(" ".join(words[:count]), unit)
        except ValueError as fault:
            if count == 1:
                raise ValueError(f"{fault}; write a number and the tool, such as 60.5 rule") from fault
            continue
        rest = " ".join(words[count:])
        return {"value": value, **_tool_or_spread(weigher, rest, unit)}
    raise ValueError("no number was given")


def _tool_or_spread(weigher: Weigher, rest: str, unit: str) -> dict[str, Any]:
    for sign in _SPREAD_SIGNS:
        if rest.startswith(sign):
            return {"spread": _in_unit(rest.removeprefix(sign).strip(), unit)}
    return {"tool": _known(rest, weigher.tools, "tool")} if rest else {}


def _in_unit(text: str, unit: str) -> float:
    if unit in ("", "mm"):
        return parse_length_mm(text)
    if unit in ("in", "inch", "inches"):
        return parse_length_mm(text, "inch") / MM_PER_INCH
    return float(text.removesuffix(unit))


def _known_machine(weigher: Weigher, told: dict[str, Any], faults: list[str]) -> None:
    """A key, or a name that is clearly one machine's; ``machine_text`` is passed on as it is."""
    from floatbowl.identify.machines import find_machines, machine_of

    typed = told.get("machine")
    if not typed:
        return
    found = machine_of(weigher.machines, Enquiry(machine=typed))
    if found is not None:
        told["machine"] = found
        return
    names = weigher.machines.names
    near = [f"{names[key]} ({key})" for key, _ in find_machines(weigher.machines, typed, _MOST_NEAR)]
    near = near or [f"{names[key]} ({key})" for key in get_close_matches(typed.lower(), names, _MOST_NEAR, 0.5)]
    perhaps = f"Perhaps {_listed(near)}. " if near else ""
    faults.append(
        f"--machine {typed!r}: no one machine of the records is called that. {perhaps}"
        "If it is none of these, give its name as --machine-text."
    )


def _known_wants(weigher: Weigher, told: dict[str, Any], faults: list[str]) -> None:
    reference = weigher.reference
    known = {
        "level": {kit.level for kit in reference.kits if kit.level},
        "fuel": {kit.fuel for kit in reference.kits if kit.fuel},
    }
    for name, value in list(told.get("want", {}).items()):
        try:
            told["want"][name] = _known(value, known[name], f"{name} of a kit")
        except ValueError as fault:
            faults.append(f"--want-{name} {value!r}: {fault}")
    for number, kit in enumerate(told.get("bought", ())):
        try:
            told["bought"][number] = _known(kit, weigher.catalogue.kits.keys, "kit")
        except ValueError as fault:
            faults.append(f"--bought {kit!r}: {fault}")


def _known(typed: str, names: Iterable[str], what: str) -> str:
    """The name that was meant: the same but for capitals and spaces. Raises ValueError with the near ones."""
    plain = {_plain(name): name for name in names}
    if _plain(typed) in plain:
        return plain[_plain(typed)]
    near = [plain[word] for word in get_close_matches(_plain(typed), plain, _MOST_NEAR, 0.55)]
    near += [name for word, name in plain.items() if name not in near and _plain(typed) in word]
    if not near and len(plain) <= 2 * _MOST_NEAR:
        raise ValueError(f"no {what} is called {typed!r}; there are {_listed(list(plain.values()))}")
    perhaps = f"; perhaps {_listed(near[:_MOST_NEAR], 'or')}" if near else ""
    raise ValueError(f"no {what} is called {typed!r}{perhaps}")


def _plain(word: str) -> str:
    return " ".join(word.lower().split())


def _listed(words: list[str], joint: str = "or") -> str:
    return f" {joint} ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
