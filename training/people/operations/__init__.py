"""Writing people and places: accounts, roles and crews; employers and the site's own beginning."""

from training.people.operations.accounts import (
    AlreadyHeld,
    BackDated,
    NotTheirs,
    OtherEmployer,
    OwnRole,
    Refused,
    add_person,
    close_account,
    end_role,
    give_role,
    join_crew,
    leave_crew,
    open_account,
    renew_password,
)
from training.people.operations.places import AlreadyFounded, add_crew, add_employer, found

__all__ = [
    "AlreadyFounded",
    "AlreadyHeld",
    "BackDated",
    "NotTheirs",
    "OtherEmployer",
    "OwnRole",
    "Refused",
    "add_crew",
    "add_employer",
    "add_person",
    "close_account",
    "end_role",
    "found",
    "give_role",
    "join_crew",
    "leave_crew",
    "open_account",
    "renew_password",
]
