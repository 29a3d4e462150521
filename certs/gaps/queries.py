"""Gathering what a gap plan is made from, and putting the plan into words."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.crewing.queries import shortage_words
from certs.crewing.rules import Rules
from certs.gaps import rules
from certs.gaps.rules import Call, GapPlan, Visit, Way
from certs.gaps.rules.ways import DAY, DECIDING, PAPER, READING, TRAINER
from certs.jobs.models import Job
from certs.jobs.queries import asked, called, hands
from certs.jobs.rules import Hand
from certs.jobs.rules import Job as Asked
from certs.records.queries.own import OwnScheme, own_schemes
from certs.records.rules import Step
from certs.schemes.models import SchemeIssue
from certs.schemes.queries import current_issues, spec
from certs.visits.models import Visit as Arranged
from training.content.schemes import Decided
from training.people.models import Employer, Person

# A record takes ten queries, and nobody plans for more at one go.
MOST_PEOPLE = 80
SECONDS = 10
# Days ahead that a trainer is asked (common practice, no source).
NOTICE = 3

BEFORE: Mapping[Step, str | Promise] = {
    Step.READ: gettext_lazy("reads the procedures"),
    Step.SIT: gettext_lazy("sits the paper"),
}
ALONE: Mapping[Step, str | Promise] = {
    Step.CONFIRM: gettext_lazy("have the work confirmed"),
    Step.READ_CHANGED: gettext_lazy("read the changed procedure and answer its questions"),
    Step.ANSWER: gettext_lazy("answer the questions about the changed procedure"),
}


@dataclass(frozen=True, slots=True)
class Candidate:
    """A person a trainer comes for, with what is to be done before."""

    pk: int
    name: str
    before: str


@dataclass(frozen=True, slots=True)
class VisitRow:
    """A visit of the plan; `arranged` is one asked for already, else `ask` is where to ask for it."""

    on: date
    scheme: str
    people: tuple[Candidate, ...]
    trainer: str
    ask: str
    arranged: Arranged | None


@dataclass(frozen=True, slots=True)
class AloneRow:
    """What somebody does without a trainer."""

    pk: int
    name: str
    scheme: str
    what: str


@dataclass(frozen=True, slots=True)
class Page:
    """A gap plan in words; `source` says what was assumed."""

    employer: str
    first: date
    until: date
    jobs: int
    before: int
    after: int
    visits: tuple[VisitRow, ...]
    alone: tuple[AloneRow, ...]
    short: tuple[str, ...]
    trainer: str
    person: str
    proven: bool
    left_out: int
    source: tuple[str, ...]


def gap_plan(employer: Employer, *, until: date, on: date, at: datetime) -> Page:
    """Return the plan for an employer's jobs from tomorrow to a day: ten queries a person where there is a gap."""
    first = on + DAY
    rows = _jobs(employer, first, until)
    jobs = [_within(asked(one), first, until) for one in rows]
    people = hands(employer, first=first, last=until) if jobs else ()
    issues = {one.scheme.slug: one for one in current_issues()}
    found = rules.plan(jobs, people, (), rules=Rules(), on=on, seconds=SECONDS)
    arranged, left_out = _arranged(employer, on=on), 0
    if found.short:
        crew = [hand for hand in people if hand.crews or hand.may or not hand.supervisor]
        left_out = max(0, len(crew) - MOST_PEOPLE)
        wanted = {want.scheme for job in jobs for want in job.wants}
        ways = [*_ways(crew[:MOST_PEOPLE], {slug: issues[slug] for slug in wanted & set(issues)}, on=on, at=at)]
        ways = [_not_before(one, arranged.get((one.hand, one.scheme))) for one in ways]
        found = rules.plan(jobs, people, ways, rules=Rules(), on=on, notice=NOTICE, seconds=SECONDS)
    words = _Words(
        {hand.key: hand.name for hand in people},
        {str(one.pk): called(one) for one in rows},
        {slug: one.title for slug, one in issues.items()},
    )
    page = _page(found, jobs, words, arranged, left_out=left_out)
    return Page(employer=employer.name, first=first, until=until, **page)


def _jobs(employer: Employer, first: date, until: date) -> list[Job]:
    rows = Job.objects.filter(employer=employer, closed_at=None, last_on__gte=first, first_on__lte=until)
    return list(rows.prefetch_related("wants__scheme").select_related("employer"))


def _within(job: Asked, first: date, until: date) -> Asked:
    return replace(job, first=max(job.first, first), last=min(job.last, until))


def _ways(crew: Sequence[Hand], issues: Mapping[str, SchemeIssue], *, on: date, at: datetime) -> Iterator[Way]:
    """Yield what each person still needs under each scheme, as their own record tells it."""
    slugs = {issue.title: slug for slug, issue in issues.items()}
    persons = {one.pk: one for one in Person.objects.filter(pk__in=[int(hand.key) for hand in crew])}
    for hand in crew:
        for own in own_schemes(persons[int(hand.key)], on=on, at=at):
            if own.title in slugs:
                yield from _ways_of(hand, slugs[own.title], own, issues[slugs[own.title]], on=on)


def _ways_of(hand: Hand, slug: str, own: OwnScheme, issue: SchemeIssue, *, on: date) -> tuple[Way, ...]:
    wanted = spec(issue)
    return rules.ways_of(
        hand.key,
        slug,
        own.step,
        on=on,
        day=own.day,
        last_day=own.face.last_day if own.face else None,
        renew_from=own.face.renew_from if own.face else None,
        trainer=wanted.trainer_days,
        separate=wanted.decision is Decided.SEPARATE,
    )


Arrangements = Mapping[tuple[str, str], Arranged]  # by person and scheme


def _arranged(employer: Employer, *, on: date) -> Arrangements:
    """Return the visits that are asked for and not declined, by whom they are for."""
    open_ones = Arranged.objects.filter(employer=employer, on__gte=on, called_off_at=None).exclude(accepted=False)
    return {
        (str(person), one.scheme.slug): one
        for one in open_ones.select_related("scheme").prefetch_related("steps")
        for person in {step.person_id for step in one.steps.all()}
    }


def _not_before(way: Way, visit: Arranged | None) -> Way:
    """Put a way off to the visit that is asked for already, and take it before others."""
    if visit is None or not way.seen:
        return way
    return replace(way, from_on=max(way.from_on, visit.on), arranged=True)


@dataclass(frozen=True, slots=True)
class _Words:
    """Names by key of the hand, what jobs are called by key, and titles by scheme."""

    names: Mapping[str, str]
    jobs: Mapping[str, str]
    titles: Mapping[str, str]


def _page(
    found: GapPlan, jobs: Sequence[Asked], words: _Words, arranged: Arrangements, *, left_out: int
) -> dict[str, Any]:
    return {
        "jobs": len(jobs),
        "before": found.before,
        "after": sum(one.missing for one in found.short),
        "visits": tuple(_visit(one, words, arranged) for one in found.visits),
        "alone": tuple(_alone(one, words) for one in found.alone),
        "short": tuple(shortage_words(one, words.jobs, words.titles) for one in found.short),
        "trainer": _days(found.trainer),
        "person": _days(found.person),
        "proven": found.proven,
        "left_out": left_out,
        "source": _source(),
    }


def _days(number: Decimal) -> str:
    """Write days of work as they are, a quarter being one: 0.75, 1, 10."""
    return f"{number.normalize():f}"


def _visit(visit: Visit, words: _Words, arranged: Arrangements) -> VisitRow:
    query = [("scheme", visit.scheme), ("on", visit.on.isoformat())]
    query += [("person", call.way.hand) for call in visit.calls]
    known = (arranged.get((call.way.hand, visit.scheme)) for call in visit.calls)
    return VisitRow(
        on=visit.on,
        scheme=words.titles.get(visit.scheme, visit.scheme),
        people=tuple(Candidate(int(call.way.hand), words.names[call.way.hand], _before(call)) for call in visit.calls),
        trainer=_days(visit.trainer),
        ask=f"{reverse('visits:ask')}?{urlencode(query)}",
        arranged=next((one for one in known if one is not None), None),
    )


def _before(call: Call) -> str:
    """Say what is done before the visit, and by when."""
    todo = [str(BEFORE[step]) for step in call.way.steps if step in BEFORE]
    if not todo:
        return _("nothing to do before")
    facts = {"what": _(" and ").join(todo), "day": date_format(call.on - DAY)}
    return _("%(what)s by %(day)s") % facts


def _alone(call: Call, words: _Words) -> AloneRow:
    way = call.way
    what = " ".join(str(ALONE[step]) for step in way.steps)
    return AloneRow(int(way.hand), words.names[way.hand], words.titles.get(way.scheme, way.scheme), what)


def _source() -> tuple[str, ...]:
    facts = {"reading": _days(READING), "paper": _days(PAPER), "trainer": _days(TRAINER)}
    return (
        _(
            "Taken as it stands today: cards, days away, who reads and who has passed. Anyone of the employer may go to"
            " a job, whatever crew it names."
        ),
        _(
            "Days of work: %(reading)s for reading, %(paper)s for the paper, %(trainer)s with a trainer where the"
            " scheme states no duration (common practice, no source)."
        )
        % facts,
        _("A trainer is asked at least %(days)d days ahead (common practice, no source).") % {"days": NOTICE},
        _("Where somebody else decides about the card, %(days)d days are left for that (common practice, no source).")
        % {"days": DECIDING},
    )
