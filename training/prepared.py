"""Queries whose SQL is written once: where a page asks a dozen, writing them takes longer than answering them.

people = Prepared(lambda: Person.objects.filter(pk__among=Blank("people")).values_list("pk", "name"))
people.rows(people=[1, 2, 3])
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import Expression, Field, ForeignKey, IntegerField, Lookup


class Blank(Expression):
    """A value that is filled in each time a prepared query is asked."""

    def __init__(self, name: str, output_field: Any = None) -> None:
        super().__init__(output_field=output_field or IntegerField())
        self.name = name

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, list["Blank"]]:
        """Stand in the parameters until there is a value."""
        return "%s", [self]

    def filled(self, values: dict[str, Any]) -> Any:
        """Return the value as the database takes it; of several numbers, as `Among` reads them: one text."""
        value = values[self.name]
        if isinstance(value, Sequence) and not isinstance(value, str):
            numbers = ",".join(map(str, value))
            return f"[{numbers}]" if connection.vendor == "sqlite" else f"{{{numbers}}}"
        return self.output_field.get_db_prep_value(value, connection)


@ForeignKey.register_lookup
@Field.register_lookup
class Among(Lookup):  # type: ignore[type-arg]
    """A number among any count of numbers, which stand in the query as one value."""

    lookup_name = "among"

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        """Write it as each database takes a list."""
        left, left_values = self.process_lhs(compiler, connection)
        right, right_values = self.process_rhs(compiler, connection)
        # No value of anybody is put into the text: both sides hold columns and marks for parameters.
        among = "IN (SELECT value FROM json_each({}))" if connection.vendor == "sqlite" else "= ANY({}::bigint[])"
        return f"{left} {among.format(right)}", (*left_values, *right_values)


@dataclass(frozen=True, slots=True)
class _Written:
    sql: str
    parameters: tuple[Any, ...]
    converters: dict[int, tuple[list[Callable[..., Any]], Expression]]


class Prepared:
    """A query of plain columns, with blanks."""

    def __init__(self, build: Callable[[], Any]) -> None:
        self._build = build
        self._written: dict[str, _Written | None] = {}

    def rows(self, **values: Any) -> list[tuple[Any, ...]]:
        """Return all rows, with the blanks filled in."""
        if connection.vendor not in self._written:
            self._written[connection.vendor] = self._write()
        written = self._written[connection.vendor]
        if written is None:
            return []
        filled = [one.filled(values) if isinstance(one, Blank) else one for one in written.parameters]
        with connection.cursor() as cursor:
            cursor.execute(written.sql, filled)
            found = cursor.fetchall()
        return _converted(found, written.converters) if written.converters else found

    def _write(self) -> _Written | None:
        """Write the query, or return None where it can find nothing whatever is filled in."""
        compiler = self._build().query.get_compiler(connection=connection)
        try:
            sql, parameters = compiler.as_sql()
        except EmptyResultSet:
            return None
        return _Written(sql, tuple(parameters), compiler.get_converters([one[0] for one in compiler.select]))


class Shelf:
    """Prepared queries under what tells them apart, the oldest of too many taken off."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._held: dict[object, Prepared] = {}

    def get(self, key: object, build: Callable[[], Any]) -> Prepared:
        """Return the query under a key, prepared where it is asked for the first time."""
        held = self._held.get(key)
        if held is None:
            held = self._held[key] = Prepared(build)
            if len(self._held) > self._size:
                self._held.pop(next(iter(self._held)), None)
        return held


def _converted(found: list[tuple[Any, ...]], converters: dict[int, Any]) -> list[tuple[Any, ...]]:
    """Turn what a database hands back into what its columns mean, such as a text into a day."""
    columns = list(zip(*found, strict=True))
    for place, (turns, expression) in converters.items() if columns else ():
        # The same few days stand in many rows.
        meant = {}
        for value in set(columns[place]):
            turned = value
            for turn in turns:
                turned = turn(turned, expression, connection)
            meant[value] = turned
        columns[place] = tuple(map(meant.__getitem__, columns[place]))
    return list(zip(*columns, strict=True))
