"""Jobs and hands made up by a seed, small or larger: nothing of them is in the demo."""

import random
from datetime import date, timedelta

from certs.crewing.rules import Rules, Turn
from certs.jobs.rules import Hand, Job, Want

FIRST = date(2026, 11, 30)  # a Monday
SCHEMES = ("bonds", "leads")


def day(number: int) -> date:
    """Return a day of the plan, by number from nought."""
    return FIRST + timedelta(days=number)


def job(key: str, first: int = 0, last: int | None = None, *, wants: object = (("bonds", 1),), **other: object) -> Job:
    """Return a job of the one employer, at a place of its own name."""
    facts: dict[str, object] = {"employer": "north", "place": key, "bonds": 4, "cold": False, "night": False}
    facts |= {"crew": None, "cover": False} | other
    wanted = tuple(Want(*want) for want in wants)  # type: ignore[attr-defined]
    return Job(key=key, first=day(first), last=day(first if last is None else last), wants=wanted, **facts)  # type: ignore[arg-type]


def hand(key: str, *, may: object = (("bonds", -90, 300),), away: object = (), **other: object) -> Hand:
    """Return a hand of the one employer; `may` and `away` count days from the first of the plan."""
    held: dict[str, tuple[tuple[date, date], ...]] = {}
    for scheme, first, last in may:  # type: ignore[attr-defined]
        held[scheme] = (*held.get(scheme, ()), (day(first), day(last)))
    spells = tuple((day(first), day(last)) for first, last in away)  # type: ignore[attr-defined]
    facts: dict[str, object] = {"name": key, "crew": "red", "employer": "north", "supervisor": False} | other
    return Hand(key=key, may=held, away=spells, **facts)  # type: ignore[arg-type]


def turn(number: int, at: str, who: str, scheme: str = "bonds") -> Turn:
    """Return a turn on a day by number."""
    return Turn(day(number), at, scheme, who)


def rules_of(seed: int) -> Rules:
    """Return settings that bite in a few days."""
    made = random.Random(f"rules {seed}")
    return Rules(row=made.choice([1, 2, 3]), slot_days=made.choice([1, 2, 3]), uneven=made.choice([1, 2, 5]))


def generated(seed: int, *, hands: int, jobs: int, length: int) -> tuple[list[Job], list[Hand]]:
    """Return jobs over so many days, and hands of two crews, of whom some are away, lapse or supervise."""
    made = random.Random(seed)
    asked = []
    for number in range(jobs):
        first = made.randrange(length)
        asked.append(
            job(
                f"j{number}",
                first,
                made.randrange(first, min(first + 3, length)),
                wants=[(scheme, made.choice([1, 1, 2])) for scheme in SCHEMES if made.random() < 0.5] or [("bonds", 1)],
                place=made.choice("ABC"),
                night=made.random() < 0.3,
                crew=made.choice(["red", "blue", None]),
                cover=made.random() < 0.25,
            )
        )
    people = []
    for number in range(hands):
        held = [
            (scheme, -90, made.choice([0, 1, length // 2, length, 90])) for scheme in SCHEMES if made.random() < 0.7
        ]
        gone = [(off, off) for off in (made.randrange(length),) if made.random() < 0.3]
        crew, leads = made.choice(["red", "blue"]), made.random() < 0.4
        people.append(hand(f"h{number}", may=held, away=gone, crew=crew, supervisor=leads))
    return asked, people
