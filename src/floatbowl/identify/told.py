"""What is told about carburettors in plain words: marks, fitted parts with their sizes, settings with their datum."""

from __future__ import annotations

from collections.abc import Mapping

from floatbowl.reference.facts import CarburettorPart, PartSize, Reference, Setting


class Told:
    """Look-up tables of a reference for explanations; built once for each version."""

    def __init__(self, reference: Reference) -> None:
        self._marks: dict[str, list[str]] = {}
        for mark in reference.marks:
            if mark.role == "identifies":
                self._marks.setdefault(mark.carburettor, []).append(mark.text)
        self._parts: dict[str, list[CarburettorPart]] = {}
        for row in reference.carburettor_parts:
            self._parts.setdefault(row.carburettor, []).append(row)
        self._settings: dict[str, list[Setting]] = {}
        for setting in reference.settings:
            self._settings.setdefault(setting.carburettor, []).append(setting)
        self._sizes: dict[str, list[PartSize]] = {}
        for size in reference.part_sizes:
            self._sizes.setdefault(size.part, []).append(size)
        self._names = {part.part: (part.kind, part.name) for part in reference.parts}

    def marks(self, carburettor: str) -> tuple[str, ...]:
        """The identifying marks of a carburettor, as recorded."""
        return tuple(self._marks.get(carburettor, ()))

    def fitted(self, carburettor: str) -> Mapping[str, str]:
        """Position (or kind) of each part, and each setting, to what is shown for it."""
        found: dict[str, str] = {}
        for row in self._parts.get(carburettor, ()):
            kind, name = self._names.get(row.part, ("part", row.part))
            sizes = ", ".join(size_text(size) for size in self._sizes.get(row.part, ()))
            found[row.position or kind] = f"{name} ({sizes})" if sizes else name
        for setting in self._settings.get(carburettor, ()):
            found[setting.quantity] = " ".join(filter(None, (setting.value, setting.unit, setting.datum)))
        return found


def size_text(size: PartSize) -> str:
    """One size as people say it.

    >>> size_text(PartSize(part="p", quantity="bore", value="3.2", unit="mm"))
    'bore 3.2 mm'
    """
    return " ".join(filter(None, (size.quantity, size.value, size.unit, size.thread)))
