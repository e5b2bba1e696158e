"""The form for one row of any table, made from its columns. What was typed is kept, what is wrong stands beside it."""

from __future__ import annotations

from typing import Any, Final

from django import forms

from floatbowl.engine.refusal import Refused
from floatbowl.money.typed import TwoMeaningsError, typed_number
from floatbowl.reference.columns import Column, cell_of, columns_of
from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES, Replacement, key_of
from floatbowl.shelf.supersede import cycles_in
from floatbowl.shop.models.tables import keys_of
from floatbowl.shop.pages.notebook import labels
from floatbowl.shop.pages.notebook.layout import kind_of_table
from floatbowl.shop.pages.notebook.names import book, referred
from floatbowl.shop.pages.notebook.on_shelf import RECORDED, shelf_has_begun
from floatbowl.shop.pages.notebook.record import MONEY
from floatbowl.shop.pages.notebook.resolve import NotListedError, offered, resolved
from floatbowl.shop.records import rows_where

LONG: Final = frozenset({"note", "how", "caution", "question", "needs", "choices", "doubt", "condition", "extra_parts"})
BLANK: Final = "not known"


class RowForm(forms.Form):
    """A row as typed. ``now`` is the row as it stands (None for a new one); ``given`` are columns already decided."""

    use_required_attribute = False

    def __init__(self, table: str, *, now: Fact | None, given: dict[str, str], data: Any = None) -> None:
        self.table, self.now, self.given = table, now, given
        self.columns = [c for c in columns_of(TABLES[table]) if c.name not in given]
        super().__init__(data, initial=self._as_shown(), auto_id="field-%s")
        for column in self.columns:
            self.fields[column.name] = field = self._field(column)
            field.validators.clear()  # All judging is done in one place, in plain words.
        if now is not None and now.extra:
            self.fields["extra"] = forms.CharField(
                label=labels.label(table, "extra"),
                help_text=labels.hint(table, "extra"),
                required=False,
                widget=forms.Textarea(attrs={"rows": 3}),
            )

    def _as_shown(self) -> dict[str, str]:
        if self.now is None:
            return {}
        shown = {c.name: cell_of(getattr(self.now, c.field)) for c in self.columns}
        return shown | {"extra": "\n".join(f"{name}: {value}" for name, value in self.now.extra)}

    def _field(self, column: Column) -> forms.Field:
        told: dict[str, Any] = {
            "label": labels.label(self.table, column.name),
            "help_text": labels.hint(self.table, column.name),
            "required": False,
        }
        if column.name == "on_hand" and shelf_has_begun():
            told |= {"label": RECORDED, "help_text": "The Shelf keeps the count now; what stands here changes nothing."}
        if words := column.words or self._choices(column):
            now = self.initial.get(column.name, "")
            typed = self.data.get(column.name, "")
            choices = [(word, word) for word in dict.fromkeys([*words, now, typed]) if word]
            empty = [] if column.filled and now else [("", "choose one" if column.filled else BLANK)]
            # Any text is taken here and judged with the rest, so that a strange one is told plainly and kept.
            return forms.CharField(widget=forms.Select(choices=[*empty, *choices]), **told)
        if column.name in LONG or "\n" in self.initial.get(column.name, ""):
            return forms.CharField(strip=False, widget=forms.Textarea(attrs={"rows": 3}), **told)
        attrs = {"autocomplete": "off"} | ({"inputmode": "decimal"} if column.sort != "text" else {})
        if kind := self._refers(column):
            attrs["list"] = f"known-{kind}"
        return forms.CharField(strip=False, widget=forms.TextInput(attrs=attrs), **told)

    def _choices(self, column: Column) -> tuple[str, ...]:
        """A feature's value is one of its choices, where the feature is known already."""
        if self.table != "features" or column.name != "value" or self.now is None:
            return ()
        kind = book().kinds.get(self.now.feature)  # type: ignore[attr-defined]
        return kind.choice_list if kind and kind.kind == "choice" else ()

    def _refers(self, column: Column) -> str:
        """The kind of record a column names; not the key of a record's own row."""
        own = kind_of_table(self.table)
        if own and column.name == own.key:
            return ""
        if self.table == "replacements" and column.name in ("old", "new"):
            return "part or kit"
        return referred(self.table, column.name, "any")

    @property
    def known(self) -> dict[str, list[tuple[str, str]]]:
        """Records offered while typing, by kind; only where there are few enough to offer."""
        kinds = {kind for column in self.columns if (kind := self._refers(column))}
        return {kind: offers for kind in sorted(kinds) if (offers := offered(kind))}

    def clean(self) -> dict[str, Any]:
        """Read each column; every fault is told beside its field."""
        self.values: dict[str, Any] = {}
        for column in self.columns:
            try:
                self.values[column.field] = self._read(column)
            except ValueError as fault:
                self.add_error(column.name, str(fault))
        if not self.errors:
            self._judge_whole()
        return self.cleaned_data

    def _read(self, column: Column) -> Any:
        typed = self.cleaned_data.get(column.name, "").replace("\r\n", "\n")
        if self.now is not None and typed == self.initial[column.name].replace("\r\n", "\n"):
            return getattr(self.now, column.field)  # Untouched: kept to the last digit and line end.
        if not _can_be_kept(typed):
            raise ValueError("There is a character in it that cannot be kept. Write it again by hand.")
        if (column.filled or column.needed) and not typed.strip():
            raise ValueError("This cannot be left empty.")
        if column.name in MONEY and typed.strip():
            typed = _with_a_point(typed)
        kind = self._refers(column)
        if kind and kind != "source" and typed.strip():
            return resolved(kind, typed.strip())
        return _sentence(column, typed)

    def _judge_whole(self) -> None:
        """What no single column shows: a choice that is not offered, a row that is there already."""
        fact = self.fact()
        kind = book().kinds.get(getattr(fact, "feature", "")) if self.table == "features" else None
        if kind and kind.choice_list and fact.value not in kind.choice_list:  # type: ignore[attr-defined]
            said = f"The answers to this are: {', '.join(kind.choice_list)}. Write one of them."
            if self.now is None or self.now.value != fact.value:  # type: ignore[attr-defined]
                self.add_error("value", said)
        if isinstance(fact, Replacement):
            self._refuse_going_round(fact)
        if self.now is not None and key_of(fact) == key_of(self.now):
            return
        names = keys_of(type(fact))
        filled = {name: getattr(fact, name) for name in names if getattr(fact, name) is not None}
        twin = next((row for row in rows_where(self.table, **filled) if key_of(row.fact) == key_of(fact)), None)
        if twin and (kind_of_table(self.table) or twin.fact.source == fact.source):
            field = next((c.name for c in self.columns if c.field in names), None)
            also = "" if kind_of_table(self.table) else " Where another source says otherwise, name that source."
            self.add_error(field, f"There is such a {labels.one(self.table)} already. Change that one.{also}")

    def _refuse_going_round(self, fact: Replacement) -> None:
        """A replacement that would lead back to where it began is told with the way round."""
        rows = [row.fact for row in rows_where(self.table) if row.fact != self.now]
        others = [row for row in rows if isinstance(row, Replacement)]
        ways = sorted(set(cycles_in([*others, fact])) - set(cycles_in(others)))
        if ways:
            said = f"Then the replacements would go round: {'; '.join(ways)}. Correct one step."
            self.add_error("new" if "new" in self.fields else None, said)

    def fact(self) -> Fact:
        """The row as typed. Call it when the form is valid."""
        given = {c.field: c.read(self.given[c.name]) for c in columns_of(TABLES[self.table]) if c.name in self.given}
        return TABLES[self.table](**(given | self.values), extra=self._extra())

    def _extra(self) -> tuple[tuple[str, str], ...]:
        if self.now is None or "extra" not in self.fields:
            return ()
        typed = self.cleaned_data.get("extra", "").replace("\r\n", "\n")
        if typed.strip() == self.initial["extra"].strip():
            return self.now.extra
        pairs = (line.partition(":") for line in typed.splitlines() if line.strip())
        return tuple((name.strip(), value.strip()) for name, _, value in pairs if value.strip())


def _with_a_point(typed: str) -> str:
    """A sum with a decimal point for its comma; as it is where it is none. Raises ValueError where it may be two."""
    try:
        return f"{typed_number(typed):f}"
    except TwoMeaningsError as asked:
        raise ValueError(f"{asked}.") from asked
    except Refused:
        return typed


def _can_be_kept(text: str) -> bool:
    """No NUL, which databases take for the end, and no half of a pair of UTF-16."""
    return "\0" not in text and not any("\ud800" <= character <= "\udfff" for character in text)


def _sentence(column: Column, typed: str) -> Any:
    """Read one cell; what is wrong with it as a sentence of its own."""
    try:
        return column.read(typed)
    except NotListedError:
        raise
    except ValueError as fault:
        said, _, todo = str(fault).partition("; ")
        raise ValueError(f"This {said}." + (f" {todo[:1].upper()}{todo[1:]}." if todo else "")) from None
