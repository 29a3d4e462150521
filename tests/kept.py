"""A company made once in a process, and laid again into the empty tables of the tests that follow.

To make one takes seconds, to lay its rows again hundredths of one. PostgreSQL, which few of these tests ask, makes it
each time.
"""

from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction

from certs.cards.queries import key_files
from certs.management.replay import Company

# Django fills these itself, SQLite the last two; what is in the cache is worked out again.
NOT_KEPT = {
    "django_content_type",
    "auth_permission",
    "django_migrations",
    settings.CACHES["default"]["LOCATION"],
    "sqlite_stat1",
    "sqlite_stat4",
}


@dataclass(frozen=True, slots=True)
class Kept:
    """What the test was given, all rows by table, and the files of the keys with their modes."""

    company: Company
    rows: dict[str, list[tuple[Any, ...]]]
    keys: dict[Path, tuple[bytes, int]]


KEPT: dict[tuple[object, ...], Kept] = {}


def once(build: Callable[[datetime], Company], *, now: datetime) -> Company:
    """Return what `build` makes in empty tables at this moment, or made earlier in the same hour."""
    if connection.vendor != "sqlite":
        return build(now)
    # Within an hour no zone of the company begins another day.
    asked = build.__qualname__, settings.CARD_KEY_FILE, now.replace(minute=0, second=0, microsecond=0)
    found = KEPT.get(asked)
    if found is None or now < found.company.now:
        company = build(now)
        keys = {file: (file.read_bytes(), file.stat().st_mode) for file in key_files() if file.exists()}
        KEPT[asked] = Kept(_copy(company), _rows(), keys)
        return company
    for file in key_files():
        file.unlink(missing_ok=True)
    for file, (held, mode) in found.keys.items():
        file.write_bytes(held)
        file.chmod(mode)
    _lay(found.rows)
    return _copy(found.company)


def _copy(company: Company) -> Company:
    """Copy the people, whom a test may change; the content stays the one there is."""
    return deepcopy(company, {id(company.content): company.content})


def _rows() -> dict[str, list[tuple[Any, ...]]]:
    with connection.cursor() as cursor:
        found = {}
        for table in set(connection.introspection.table_names(cursor)) - NOT_KEPT:
            cursor.execute(f'SELECT * FROM "{table}" LIMIT 0')  # noqa: S608
            # The plus makes an expression of a column, whose values come as they lie in the file.
            columns = ", ".join(f'+"{column[0]}"' for column in cursor.description)
            cursor.execute(f'SELECT {columns} FROM "{table}"')  # noqa: S608
            found[table] = cursor.fetchall()
    return {table: rows for table, rows in found.items() if rows}


def _lay(tables: dict[str, list[tuple[Any, ...]]]) -> None:
    # One transaction, at whose end alone the rows must fit one another.
    with transaction.atomic(), connection.cursor() as cursor:
        for table, rows in tables.items():
            places = ", ".join(["%s"] * len(rows[0]))
            cursor.executemany(f'INSERT INTO "{table}" VALUES ({places})', rows)  # noqa: S608
