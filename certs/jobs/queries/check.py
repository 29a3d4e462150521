"""The job check: day by day, who fills which place, and who lacks what where nobody does."""

from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from certs.jobs.models import Job
from certs.jobs.queries.gaps import Lack, Records, lacks
from certs.jobs.queries.people import asked, hands
from certs.jobs.rules import Day, Hand, Seat, bonds_on, crew_job, days
from certs.jobs.rules import Job as Asked
from certs.schemes.models import SchemeIssue
from certs.schemes.queries import current_issue


@dataclass(frozen=True, slots=True)
class Filled:
    """Places of a kind in words: who fills them, and how many nobody fills."""

    what: str
    names: tuple[str, ...]
    empty: int


@dataclass(frozen=True, slots=True)
class Gap:
    """So many places of a kind that nobody fills; who could but for what they lack, and how many more."""

    what: str
    places: int
    lacks: tuple[Lack, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Span:
    """Days on end that are crewed alike."""

    words: str
    number: int
    is_full: bool
    places: tuple[Filled, ...]
    gaps: tuple[Gap, ...]


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

    @property
    def can(self) -> bool:
        """Whether every day can be crewed."""
        return self.full == self.number

    @property
    def says(self) -> str:
        """The answer in a sentence."""
        if self.can:
            return _("Yes: every day can be crewed, as things stand today.")
        words = ngettext(
            "No: %(full)d of %(number)d day can be crewed, as things stand today.",
            "No: %(full)d of %(number)d days can be crewed, as things stand today.",
            self.number,
        )
        return words % {"full": self.full, "number": self.number}


def check(job: Job, *, on: date, at: datetime) -> Check:
    """Return the check of a job as things stand today, with the days gone by left out while it runs."""
    wanted = asked(job)
    people = hands(job.employer, first=job.first_on, last=job.last_on)
    since = on if job.first_on <= on <= job.last_on else job.first_on
    crewed = [day for day in crew_job(wanted, people) if day.on >= since]
    titles = {want.scheme.slug: _title(want.scheme.slug) for want in job.wants.all()}
    records = None if all(day.is_full for day in crewed) else Records(people, on=on, at=at)
    told = [_day(wanted, day, people, titles, records) for day in crewed]
    return Check(
        job=job,
        wants=tuple((titles[want.scheme], want.holders) for want in wanted.wants),
        since=since,
        spans=_spans(told),
        full=sum(day.is_full for day in crewed),
        number=len(crewed),
        most_bonds=max(bonds_on(wanted, day) for day in days(wanted) if day >= since),
    )


def _title(slug: str) -> str:
    try:
        return current_issue(slug).title
    except SchemeIssue.DoesNotExist:
        return slug


_Told = tuple[date, bool, tuple[Filled, ...], tuple[Gap, ...]]


def _day(wanted: Asked, day: Day, people: tuple[Hand, ...], titles: dict[str, str], records: Records | None) -> _Told:
    places = tuple(_filled(seat, day, titles) for seat in dict.fromkeys(place.seat for place in day.places))
    taken = [place.hand.key for place in day.places if place.hand is not None]
    gaps = []
    for seat in dict.fromkeys(day.missing):
        told: tuple[tuple[Lack, ...], int] = ((), 0)
        if seat.scheme is not None and records is not None:
            title = titles[seat.scheme]
            told = lacks(wanted, people, seat.scheme, title, on=day.on, taken=taken, records=records)
        gaps.append(Gap(_what(seat, titles), day.missing.count(seat), *told))
    return day.on, day.is_full, places, tuple(gaps)


def _filled(seat: Seat, day: Day, titles: dict[str, str]) -> Filled:
    names = tuple(place.hand.name for place in day.places if place.seat == seat and place.hand is not None)
    return Filled(_what(seat, titles), names, day.missing.count(seat))


def _what(seat: Seat, titles: dict[str, str]) -> str:
    return _("Supervisor") if seat.scheme is None else titles[seat.scheme]


def _spans(told: list[_Told]) -> tuple[Span, ...]:
    """Put days on end together that say the same."""
    spans = []
    for (is_full, places, gaps), group in groupby(told, key=lambda one: one[1:]):
        alike = [one[0] for one in group]
        words = date_format(alike[0])
        if len(alike) > 1:
            words = _("%(day)s to %(until)s") % {"day": words, "until": date_format(alike[-1])}
        spans.append(Span(words, len(alike), is_full, places, gaps))
    return tuple(spans)
