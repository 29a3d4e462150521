"""Roles, and what each may see."""

from collections.abc import Set as AbstractSet
from datetime import date
from enum import StrEnum


class Role(StrEnum):
    """What a person does here; one person may hold several, each with dates."""

    CREW = "crew"
    TRAINER = "trainer"
    SUPERVISOR = "supervisor"
    ADMINISTRATOR = "administrator"


def in_force(from_on: date, until_on: date | None, *, on: date) -> bool:
    """Say whether a dated row holds on a day; both its days count, no end means until further notice."""
    return from_on <= on and (until_on is None or on <= until_on)


def sees_every_employer(roles: AbstractSet[Role], *, of_the_body: bool) -> bool:
    """Say whether these roles reach past their own employer.

    Only trainers and administrators of the certification body work across employers.
    """
    return of_the_body and bool(roles & {Role.TRAINER, Role.ADMINISTRATOR})


def sees_colleagues(roles: AbstractSet[Role]) -> bool:
    """Say whether these roles see the other people of their own employer."""
    return bool(roles & {Role.TRAINER, Role.SUPERVISOR, Role.ADMINISTRATOR})
