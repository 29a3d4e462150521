"""A TOML table read key by key; what is missing, misspelt or of the wrong type becomes a mistake, never a crash."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from fractions import Fraction
from typing import Any, TypeVar

from training.content.mistakes import Mistake
from training.questions.specs import in_written_order

SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*\Z")
NAME = re.compile(r"[a-z][a-z0-9_]*\Z")
LARGEST = Decimal("1e12")
_Choice = TypeVar("_Choice", bound=StrEnum)


class Table:
    """One table of a file. Getters take a default; without one the key is required."""

    def __init__(self, data: Any, *, file: str, path: str, mistakes: list[Mistake]) -> None:
        """Start reading; anything that is not a table is itself a mistake."""
        self.file, self.path, self.mistakes = file, path, mistakes
        self.data: Mapping[str, Any] = data if isinstance(data, Mapping) else {}
        self.known: set[str] = set()
        self.before = len(mistakes)
        if not isinstance(data, Mapping):
            self.refuse("", "must be a table")

    def key(self, name: str) -> str:
        """Return the path of a key as printed in a mistake."""
        return ".".join(part for part in (self.path, name) if part)

    def refuse(self, name: str, reason: str) -> None:
        """Record a mistake at a key of this table."""
        self.mistakes.append(Mistake(self.file, self.key(name), reason))

    @property
    def sound(self) -> bool:
        """Say whether nothing was refused since this table was opened."""
        return len(self.mistakes) == self.before

    def done(self) -> None:
        """Refuse the keys that no getter asked for: they are misspelt."""
        for name in sorted(set(self.data) - self.known):
            self.refuse(name, "is not a key known here; check its spelling")

    def _take(self, name: str, kinds: tuple[type, ...], default: Any, wanted: str) -> Any:
        self.known.add(name)
        value = self.data.get(name, default)
        if value is None:
            self.refuse(name, f"is missing; write {wanted}")
        # A truth value is an int to Python, never to an author.
        elif value is not default and (not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds)):
            self.refuse(name, f"must be {wanted}")
            value = None
        return value

    def text(self, name: str, default: str | None = None, *, shape: re.Pattern[str] | None = None) -> str:
        """Read words; without a default they may not be empty."""
        value = self._take(name, (str,), default, "text")
        if value is None:
            return ""
        if default is None and not value.strip():
            self.refuse(name, "is empty; write text")
        elif shape is not None and value and not shape.match(value):
            self.refuse(
                name,
                f"{value!r} may hold only small letters, digits and {'hyphens' if shape is SLUG else 'underscores'}",
            )
        return str(value)

    def whole(self, name: str, default: int | None = None, *, low: int = 1, high: int = 10_000) -> int:
        """Read a whole number within limits."""
        value = self._take(name, (int,), default, "a whole number")
        if value is None:
            return low
        if not low <= value <= high:
            self.refuse(name, f"must be from {low} to {high}")
        return int(value)

    def optional_whole(self, name: str, *, low: int, high: int) -> int | None:
        """Read a whole number that may be left out."""
        return self.whole(name, low=low, high=high) if name in self.data else None

    def flag(self, name: str, *, default: bool = False) -> bool:
        """Read true or false."""
        return bool(self._take(name, (bool,), default, "true or false"))

    def decimal(self, name: str, default: Decimal | None = None) -> Decimal:
        """Read a number, written bare or as text; its digits are kept as written."""
        value = self._take(name, (int, Decimal, str), default, "a number")
        return Decimal(0) if value is None else self._decimal(name, value)

    def _decimal(self, name: str, value: Any) -> Decimal:
        try:
            number = Decimal(value)
        except InvalidOperation:
            number = Decimal("NaN")
        if not number.is_finite() or abs(number) > LARGEST or int(number.as_tuple().exponent) < -12:
            self.refuse(name, f"{value} is not a plain number of at most 12 digits before and 12 after the point")
            return Decimal(0)
        return number

    def decimals(self, name: str) -> tuple[Decimal, ...]:
        """Read a list of numbers; absent gives none."""
        values = self._take(name, (list, tuple), (), "a list of numbers")
        return tuple(
            self._decimal(name, value)
            for value in values or ()
            if self._is(name, value, (int, Decimal, str), "numbers")
        )

    def wholes(self, name: str, *, high: int) -> tuple[int, ...]:
        """Read a list of whole numbers from 0 to ``high``; absent gives none."""
        values = self._take(name, (list, tuple), (), "a list of whole numbers")
        good = tuple(value for value in values or () if self._is(name, value, (int,), "whole numbers"))
        if any(not 0 <= value <= high for value in good):
            self.refuse(name, f"must hold only numbers from 0 to {high}")
        return good

    def once(self, name: str, marks: Sequence[str]) -> None:
        """Refuse marks of inner tables that come twice."""
        for mark, count in Counter(marks).items():
            if count > 1 and mark:
                self.refuse(name, f"{mark!r} is written {count} times; each must be different")

    def _is(self, name: str, value: Any, kinds: tuple[type, ...], wanted: str) -> bool:
        if isinstance(value, kinds) and not isinstance(value, bool):
            return True
        self.refuse(name, f"must hold only {wanted}")
        return False

    def share(self, name: str, default: Fraction | None = None, *, low: int = 0, high: int = 1) -> Fraction:
        """Read a number within limits, as a fraction."""
        value = self._take(name, (int, Decimal, str), default, 'a number such as "0.02"')
        number = value if isinstance(value, Fraction) else Fraction(self._decimal(name, 0 if value is None else value))
        if not low <= number <= high:
            self.refuse(name, f"must be from {low} to {high}")
        return number

    def texts(self, name: str, *, required: bool = False) -> tuple[str, ...]:
        """Read a list of words; absent gives none unless required."""
        values = self._take(name, (list, tuple), None if required else (), "a list of texts")
        if required and values is not None and not values:
            self.refuse(name, "is empty; write at least one text")
        return tuple(value for value in values or () if self._is(name, value, (str,), "texts"))

    def choice(self, name: str, among: type[_Choice], default: _Choice | None = None) -> _Choice:
        """Read one of a closed list of words."""
        words = ", ".join(among)
        value = self._take(name, (str,), default, f"one of {words}")
        if value is not None and value in list(among):
            return among(value)
        if value is not None:
            self.refuse(name, f"{value!r} is not one of {words}")
        return next(iter(among))

    def inputs(self, name: str = "inputs") -> Mapping[str, str]:
        """Read a table of names; absent gives none."""
        values = self._take(name, (Mapping,), {}, "a table of names")
        return {
            key: value
            for key, value in (values or {}).items()
            if self._is(f"{name}.{key}", value, (str,), "names of values")
        }

    def table(self, name: str, default: Mapping[str, Any] | None = None) -> "Table":
        """Open a table inside this one."""
        data = self._take(name, (Mapping,), default, f"a table [{self.key(name)}]")
        return self.inner({} if data is None else data, name)

    def tables(self, name: str) -> list["Table"]:
        """Open each table of an array of tables; absent gives none. Its key, slug, name or place marks the path."""
        rows = self._take(name, (list, tuple), (), f"an array of tables [[{self.key(name)}]]")
        return [self.inner(row, f"{name}[{_mark(row, place)}]") for place, row in enumerate(rows or (), start=1)]

    def named(self, name: str) -> dict[str, "Table"]:
        """Open each table under a table of tables, in written order; absent gives none."""
        tables = self._take(name, (Mapping,), {}, f"tables [{self.key(name)}.<name>]")
        for inside in tables or ():
            if not NAME.match(inside):
                self.refuse(f"{name}.{inside}", "may be named only by small letters, digits and underscores")
        ordered = in_written_order(tables or {})
        return {inside: self.inner(data, f"{name}.{inside}") for inside, data in ordered.items()}

    def inner(self, data: Any, name: str) -> "Table":
        """Open a table whose mistakes join this one's."""
        return Table(data, file=self.file, path=self.key(name), mistakes=self.mistakes)


def _mark(row: Any, place: int) -> str:
    names: Sequence[str] = ("key", "slug", "name")
    found = (row[name] for name in names if isinstance(row, Mapping) and isinstance(row.get(name), str))
    return next(found, str(place))
