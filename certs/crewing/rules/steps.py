"""A plan made step by step, so that its progress shows and it can be stopped; and the mark of what went into it."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date

from certs.crewing.rules.plan import DAY, Rules, Shortage, Turn, wanted
from certs.crewing.rules.proposing import propose
from certs.jobs.rules import Hand, Job, days

WEEK = 7
# Places times hands up to which a plan is made in one step: as many turns as are solved whole.
SMALL = 2000


@dataclass(frozen=True, slots=True)
class Step:
    """What a step adds: turns of its days, the places left open there, and whether the time cut it short."""

    turns: tuple[Turn, ...]
    short: tuple[Shortage, ...]
    proven: bool
    hurried: bool


def clipped(jobs: Sequence[Job], *, first: date, last: date) -> tuple[Job, ...]:
    """Return the jobs that share a day with the span, each with its days in it only."""
    return tuple(
        replace(job, first=max(job.first, first), last=min(job.last, last))
        for job in jobs
        if job.first <= last and job.last >= first
    )


def stretches(jobs: Sequence[Job], hands: Sequence[Hand], *, first: date, last: date) -> tuple[tuple[date, date], ...]:
    """Return the days of each step: all of them where that is small, else week by week from the first day on."""
    places = sum(len(days(job)) * sum(holders for _scheme, holders in wanted(job)) for job in jobs)
    if places * len(hands) <= SMALL:
        return ((first, last),)
    weeks = range(((last - first).days // WEEK) + 1)
    return tuple((first + week * WEEK * DAY, min(last, first + (week * WEEK + WEEK - 1) * DAY)) for week in weeks)


def step(
    jobs: Sequence[Job],
    hands: Sequence[Hand],
    kept: Sequence[Turn],
    *,
    stretch: tuple[date, date],
    rules: Rules,
    seconds: float,
) -> Step:
    """Plan the days of one step, with the turns of the steps before standing and the week after it looked at.

    The same jobs, hands and turns give the same step, unless the time cuts it short.
    """
    first, last = stretch
    # Who is spent this week is missing in the next, so that is planned along and thrown away again.
    # What was before counts for rest and days in a row, and no longer back than a week.
    since = first - WEEK * DAY
    seen = clipped(jobs, first=since, last=last + WEEK * DAY)
    recent = [turn for turn in kept if turn.day >= since]
    found = propose(seen, hands, rules=rules, kept=recent, seconds=seconds)
    return Step(
        tuple(turn for turn in found.turns if first <= turn.day <= last),
        tuple(short for short in found.short if first <= short.day <= last),
        found.proven,
        found.stopped,
    )


def mark(jobs: Sequence[Job], hands: Sequence[Hand], rules: Rules) -> str:
    """Return the SHA-256 mark of everything a plan depends on, in hexadecimal; names do not count, nor does order."""
    facts = {
        "jobs": sorted((asdict(job) for job in jobs), key=lambda one: one["key"]),
        "hands": sorted((asdict(hand) | {"name": ""} for hand in hands), key=lambda one: one["key"]),
        "rules": asdict(rules),
    }
    return hashlib.sha256(json.dumps(facts, sort_keys=True, default=str).encode()).hexdigest()
