"""Who would fill an open place, were they not placed at another job that day. Plain values only."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from certs.crewing.rules import COVER, Shortage
from certs.jobs.rules import AcceptedPlan, Hand, Job, Placed, Want, elsewhere, missed


@dataclass(frozen=True, slots=True)
class Bound:
    """People (`hands`, keys) who could work at a job on a day, but whom a plan places at another one: `at`."""

    on: date
    job: str
    at: str
    hands: tuple[str, ...]
    plan: AcceptedPlan


def bound_elsewhere(
    short: Sequence[Shortage], jobs: Sequence[Job], hands: Sequence[Hand], placed: Collection[Placed]
) -> tuple[Bound, ...]:
    """Return by day and job who could fill one of the places left open, and at which job they are placed instead."""
    found: dict[tuple[date, str, str, AcceptedPlan], list[str]] = defaultdict(list)
    for one, hand, sent in _missed(short, {job.key: job for job in jobs}, hands, placed):
        there = found[one.day, one.job, sent.reference, sent.plan]
        # Two places of a job may be open to one person.
        if hand.key not in there:
            there.append(hand.key)
    return tuple(Bound(on, job, at, tuple(keys), plan) for (on, job, at, plan), keys in found.items())


def _missed(
    short: Sequence[Shortage], at: dict[str, Job], hands: Sequence[Hand], placed: Collection[Placed]
) -> Iterator[tuple[Shortage, Hand, Placed]]:
    sent: dict[date, dict[str, Placed]] = defaultdict(dict)
    for placing in placed:
        sent[placing.on][placing.hand] = placing
    for one in short:
        wants = () if one.scheme == COVER else (Want(one.scheme, 1),)
        # Anyone of the employer may go, whatever crew the job names.
        place = replace(at[one.job], crew=None, wants=wants, cover=one.scheme == COVER)
        that_day = sent[one.day]
        for hand in missed(place, hands, elsewhere(that_day.values(), one.job), on=one.day):
            yield one, hand, that_day[hand.key]
