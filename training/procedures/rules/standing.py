"""Where a reader stands with a procedure, and by when a revision asks for something."""

from datetime import UTC, date, datetime, timedelta
from enum import StrEnum

# A step that describes a fault is looked up, not worked through, so it leaves the numbered list.
FAULT = "fault-"


class Standing(StrEnum):
    """Where a person stands with the revision in force."""

    READ = "read"
    UNREAD = "to read"
    CHANGED = "changed since you read it"


def standing(*, latest: int, last_read: int | None) -> Standing:
    """Compare the number of the revision in force with the newest one this person has read."""
    if last_read is None:
        return Standing.UNREAD
    return Standing.READ if last_read >= latest else Standing.CHANGED


def is_fault(slug: str) -> bool:
    """Say whether a step describes a fault to look up."""
    return slug.startswith(FAULT)


def due_on(loaded_at: datetime, *, within_days: int) -> date:
    """Return the last day to do what a revision asks: so many days after the day of loading, both in UTC."""
    return loaded_at.astimezone(UTC).date() + timedelta(days=within_days)
