"""The job check: day by day, who fills which place, and who lacks what where nobody does."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from certs.jobs.models import Job
from certs.jobs.queries.gaps import Lack, Records, lacks
from certs.jobs.queries.people import asked, hands
from certs.jobs.queries.placed import placed
from certs.jobs.rules import (
    AcceptedPlan,
    Day,
    Elsewhere,
    Hand,
    Placed,
    Seat,
    bonds_on,
    crew_job,
    days,
    elsewhere,
    free,
    missed,
)
from certs.jobs.rules import Job as Asked
from certs.schemes.models import SchemeIssue
from certs.schemes.queries import current_issue


@dataclass(frozen=True, slots=True)
class Filled:
    """Places of a kind in words: who fills them, and how many nobody fills.

    `people` are names, each with whether an accepted plan sends them.
    """

    what: str
    people: tuple[tuple[str, bool], ...]
    empty: int

    @property
    def names(self) -> tuple[str, ...]:
        """Return who fills them."""
        return tuple(name for name, _planned in self.people)


@dataclass(frozen=True, slots=True)
class Gap:
    """So many places of a kind that nobody fills; who could but for what they lack, and how many more."""

    what: str
    places: int
    lacks: tuple[Lack, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Sent:
    """Somebody whom an accepted plan sends, for which place, and whether they can go as things stand now."""

    name: str
    what: str
    goes: bool
    plan: AcceptedPlan


@dataclass(frozen=True, slots=True)
class Span:
    """Days on end that are crewed alike.

    `sent` are those whom the accepted plan sends here; `elsewhere` are pairs of a person who would do and the job that
    the plan places them at, less those whom a gap names.
    """

    words: str
    number: int
    is_full: bool
    places: tuple[Filled, ...]
    gaps: tuple[Gap, ...]
    sent: tuple[Sent, ...]
    elsewhere: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Check:
    """A job with its days from `since` on; `full` of `number` can be crewed."""

    job: Job
    wants: tuple[tuple[str, int], ...]
    since: date
    spans: tuple[Span, ...]
    full: int
    number: int
    most_bonds: int
    over: bool

    @property
    def plans(self) -> tuple[AcceptedPlan, ...]:
        """The accepted plans that send somebody here."""
        return tuple(dict.fromkeys(one.plan for span in self.spans for one in span.sent))

    @property
    def by_check(self) -> bool:
        """Whether somebody stands here by the check alone, and by no accepted plan."""
        people = (one for span in self.spans for place in span.places for one in place.people)
        return not all(planned for _name, planned in people)

    @property
    def can(self) -> bool:
        """Whether every day can be crewed."""
        return self.full == self.number

    @property
    def says(self) -> str:
        """The answer in a sentence."""
        if self.over:
            return _("The days of this job are over.")
        if self.can:
            return _("Yes: every day can be crewed, as things stand today.")
        words = ngettext(
            "No: %(full)d of %(number)d day can be crewed, as things stand today.",
            "No: %(full)d of %(number)d days can be crewed, as things stand today.",
            self.number,
        )
        return words % {"full": self.full, "number": self.number}


def check(job: Job, *, on: date, at: datetime) -> Check:
    """Return the check of a job as things stand today, with the days gone by left out while it runs.

    Whom an accepted plan sends to the job has their place; whom it sends to another job that day is not to be had.
    """
    wanted = asked(job)
    people = hands(job.employer, first=job.first_on, last=job.last_on)
    # A closed job is in no plan.
    sent = () if job.closed_at else placed(job.employer, job.first_on, job.last_on)
    taken = elsewhere(sent, wanted.key)
    since = on if job.first_on <= on <= job.last_on else job.first_on
    crewed = [day for day in crew_job(wanted, free(people, taken), sent) if day.on >= since]
    titles = {want.scheme.slug: _title(want.scheme.slug) for want in job.wants.all()}
    records = None if all(day.is_full for day in crewed) else Records(people, taken, on=on, at=at)
    told = [_day(wanted, day, people, titles, records, sent=sent) for day in crewed]
    besides = [
        (_sent(wanted, day, sent, titles), _elsewhere(wanted, day.on, people, taken, gaps))
        for day, (_on, _full, _places, gaps) in zip(crewed, told, strict=True)
    ]
    return Check(
        job=job,
        wants=tuple((titles[want.scheme], want.holders) for want in wanted.wants),
        since=since,
        spans=_spans([(*one, *other) for one, other in zip(told, besides, strict=True)]),
        full=sum(day.is_full for day in crewed),
        number=len(crewed),
        most_bonds=max(bonds_on(wanted, day) for day in days(wanted) if day >= since),
        over=job.last_on < on,
    )


def _sent(wanted: Asked, day: Day, sent: tuple[Placed, ...], titles: dict[str, str]) -> tuple[Sent, ...]:
    there = {(place.hand.key, place.seat) for place in day.places if place.hand is not None}
    ours = [one for one in sent if one.job == wanted.key and one.on == day.on]
    return tuple(Sent(one.name, _what(one.seat, titles), (one.hand, one.seat) in there, one.plan) for one in ours)


def _elsewhere(
    wanted: Asked, on: date, people: tuple[Hand, ...], taken: Elsewhere, gaps: tuple[Gap, ...]
) -> tuple[tuple[str, str], ...]:
    said = {lack.pk for gap in gaps for lack in gap.lacks}
    found = [one for one in missed(wanted, people, taken, on=on) if int(one.key) not in said]
    return tuple((one.name, taken[on, one.key]) for one in found)


def _title(slug: str) -> str:
    try:
        return current_issue(slug).title
    except SchemeIssue.DoesNotExist:
        return slug


_Told = tuple[date, bool, tuple[Filled, ...], tuple[Gap, ...]]
_Whole = tuple[date, bool, tuple[Filled, ...], tuple[Gap, ...], tuple[Sent, ...], tuple[tuple[str, str], ...]]


def _day(
    wanted: Asked,
    day: Day,
    people: tuple[Hand, ...],
    titles: dict[str, str],
    records: Records | None,
    *,
    sent: tuple[Placed, ...],
) -> _Told:
    planned = {(one.hand, one.seat) for one in sent if one.job == wanted.key and one.on == day.on}
    places = tuple(_filled(seat, day, titles, planned) for seat in dict.fromkeys(place.seat for place in day.places))
    taken = [place.hand.key for place in day.places if place.hand is not None]
    gaps = []
    for seat in dict.fromkeys(day.missing):
        told: tuple[tuple[Lack, ...], int] = ((), 0)
        if seat.scheme is not None and records is not None:
            title = titles[seat.scheme]
            told = lacks(wanted, people, seat.scheme, title, on=day.on, taken=taken, records=records)
        gaps.append(Gap(_what(seat, titles), day.missing.count(seat), *told))
    return day.on, day.is_full, places, tuple(gaps)


def _filled(seat: Seat, day: Day, titles: dict[str, str], planned: Collection[tuple[str, Seat]]) -> Filled:
    there = (place.hand for place in day.places if place.seat == seat and place.hand is not None)
    people = tuple((hand.name, (hand.key, seat) in planned) for hand in there)
    return Filled(_what(seat, titles), people, day.missing.count(seat))


def _what(seat: Seat, titles: dict[str, str]) -> str:
    return _("Supervisor") if seat.scheme is None else titles[seat.scheme]


def _spans(told: list[_Whole]) -> tuple[Span, ...]:
    """Put days on end together that say the same."""
    spans = []
    for alike_in, group in groupby(told, key=lambda one: one[1:]):
        alike = [one[0] for one in group]
        words = date_format(alike[0])
        if len(alike) > 1:
            words = _("%(day)s to %(until)s") % {"day": words, "until": date_format(alike[-1])}
        spans.append(Span(words, len(alike), *alike_in))
    return tuple(spans)
