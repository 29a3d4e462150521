"""What a scheme lets a person do, and what loading one issue of it means."""

from collections.abc import Mapping
from datetime import date
from enum import StrEnum

from training.people.rules import ends_too_early


class Act(StrEnum):
    """An act that a scheme lets named people do, with dates."""

    TRAINS = "trains"
    ASSESSES = "assesses"
    DECIDES = "decides"


class Fate(StrEnum):
    """What a loaded issue is beside the issues already on record."""

    FIRST = "first"
    NEXT = "next"
    SAME = "same"
    CHANGED = "changed"
    OLDER = "older"


def fate(number: int, digest: str, *, stored: Mapping[int, str]) -> Fate:
    """Compare an issue, by number and fingerprint, with those on record; `stored` is fingerprint by number.

    An issue on record never changes: cards point at it. So other content under its number is refused.
    """
    if not stored:
        return Fate.FIRST
    if number > max(stored):
        return Fate.NEXT
    if number < max(stored):
        return Fate.OLDER
    return Fate.SAME if stored[number] == digest else Fate.CHANGED


class Grantless(StrEnum):
    """Why a permission is not given as asked."""

    ORDER = "order"
    PAST = "past"
    CLOSED = "closed"
    NOT_STAFF = "not staff"


def grant_objections(
    *, from_on: date, until_on: date | None, is_known: bool, is_active: bool, is_staff: bool, on: date
) -> tuple[Grantless, ...]:
    """Return why a permission cannot be given with these dates.

    `is_known`: a permission from that day is on record, so only its last day moves. It may end yesterday at the
    earliest, because what was signed under it before must stay signed under it.
    """
    found = []
    if until_on is not None and until_on < from_on:
        found.append(Grantless.ORDER)
    if is_known and until_on is not None and ends_too_early(until_on, on=on):
        found.append(Grantless.PAST)
    if not is_known and not is_active:
        found.append(Grantless.CLOSED)
    if not is_known and not is_staff:
        found.append(Grantless.NOT_STAFF)
    return tuple(found)


class Untaught(StrEnum):
    """Why training cannot be recorded as given."""

    ONESELF = "oneself"
    FUTURE = "future"
    MAY_NOT = "may not"


def training_objections(*, is_oneself: bool, ended_on: date, may_train: bool, on: date) -> tuple[Untaught, ...]:
    """Return why training is not recorded; `may_train` holds for the day the training ended."""
    found = []
    if is_oneself:
        found.append(Untaught.ONESELF)
    if ended_on > on:
        found.append(Untaught.FUTURE)
    elif not may_train:
        found.append(Untaught.MAY_NOT)
    return tuple(found)
