"""Which copies to keep, and what is written beside one."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Keep:
    """How many copies stay: the newest of so many days, of so many weeks and of so many months."""

    days: int = 14
    weeks: int = 8
    months: int = 12


@dataclass(frozen=True, slots=True)
class Manifest:
    """What was found in a copy when it was proved, so that a copy brought back is held against it.

    `head` is the last entry of the ledger (number, mark); `rows` counts each table; `steps` names, for each app, the
    migrations applied; `library` is the version of the database.
    """

    name: str
    made: datetime
    vendor: str
    library: str
    size: int
    sha256: str
    head: tuple[int, str]
    rows: Mapping[str, int]
    steps: Mapping[str, tuple[str, ...]]


def kept_names(made: Mapping[str, datetime], keep: Keep) -> frozenset[str]:
    """Return the names of the copies that stay, of those made at these moments. The newest always stays."""
    newest_first = sorted(made, key=lambda name: (made[name], name), reverse=True)
    spans: list[tuple[int, Callable[[datetime], object]]] = [
        (keep.days, lambda at: at.date()),
        (keep.weeks, lambda at: at.isocalendar()[:2]),
        (keep.months, lambda at: (at.year, at.month)),
    ]
    stays = set(newest_first[:1])
    for number, span in spans:
        newest: dict[object, str] = {}
        for name in newest_first:
            newest.setdefault(span(made[name]), name)
        stays |= set(list(newest.values())[:number])
    return frozenset(stays)


def unknown_steps(applied: Mapping[str, Iterable[str]], known: Mapping[str, Iterable[str]]) -> list[str]:
    """Return the migrations of a copy which this program does not have: the copy is of a newer one."""
    return sorted(
        f"{app}.{name}" for app, names in applied.items() for name in names if name not in set(known.get(app, ()))
    )
