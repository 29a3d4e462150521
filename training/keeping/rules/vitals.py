"""Whether the site can keep what it is given."""

from dataclasses import dataclass
from datetime import datetime, timedelta

# Below this the disk is as good as full: a copy of the database, its log and a day's photos have to fit.
ROOM = 500 * 1024 * 1024
# A nightly copy, and two hours for a night on which the clock goes back or the machine is slow.
COPY_WITHIN = timedelta(hours=26)
# Tried every five minutes: a mail that waits longer has a server that is away, or a timer that does not run.
MAIL_WITHIN = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Vitals:
    """What was found: whether a row could be kept, bytes free on the disk, when the last copy was made.

    `waits` is since when the oldest mail waits that has not left.
    """

    wrote: bool
    mended: bool
    free: int
    copied: datetime | None
    waits: datetime | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """One thing looked at: its name, whether it is in order, and whether the site must not be used without."""

    name: str
    good: bool
    needed: bool


def parts(found: Vitals, *, at: datetime) -> tuple[Part, ...]:
    """Judge what was found. A late copy or mail sends nobody away: it is said, and the site serves on."""
    return (
        Part("database", found.wrote, True),
        Part("library", found.mended, True),
        Part("room", found.free >= ROOM, True),
        Part("copy", found.copied is not None and at - found.copied <= COPY_WITHIN, False),
        Part("mail", found.waits is None or at - found.waits <= MAIL_WITHIN, False),
    )


def serves(found: tuple[Part, ...]) -> bool:
    """Say whether people may be sent here."""
    return all(part.good for part in found if part.needed)
