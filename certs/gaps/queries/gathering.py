"""Gathering what a gap plan is made from, and having it made."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from certs.crewing.rules import Rules
from certs.gaps import rules
from certs.gaps.queries.page import Arrangements, Page, Words, told
from certs.gaps.rules import Trainers, Way
from certs.gaps.rules.ways import DAY, NOTICE
from certs.jobs.models import Job
from certs.jobs.queries import asked, called, hands, placed
from certs.jobs.rules import Hand
from certs.jobs.rules import Job as Asked
from certs.records.queries.own import OwnScheme, own_schemes_of
from certs.schemes.models import SchemeIssue
from certs.schemes.queries import current_issues, spec
from certs.signoffs.queries import free_to_assess
from certs.visits.models import Visit as Arranged
from certs.visits.queries import engaged, watched
from training.content.schemes import Decided
from training.people.models import Employer, Person

# More would take a page too long to read and to weigh.
MOST_PEOPLE = 1000
# What the search may take of the few seconds in which a page has to come; reading takes the rest.
AS_IS_SECONDS, SECONDS = 1.5, 4.0


def gap_plan(employer: Employer, *, until: date, on: date, at: datetime) -> Page:
    """Return the plan for an employer's jobs from tomorrow to a day: 31 queries, however many people there are."""
    first = on + DAY
    rows = _jobs(employer, first, until)
    jobs = [_within(asked(one), first, until) for one in rows]
    people = hands(employer, first=first, last=until) if jobs else ()
    issues = {one.scheme.slug: one for one in current_issues()}
    given = {"placed": placed(employer, first, until), "rules": Rules(), "on": on}
    stands = rules.as_is(jobs, people, seconds=AS_IS_SECONDS, **given)
    arranged, ways, trainers, left_out = _arranged(employer, on=on), [], None, 0
    if stands.short:
        crew = [hand for hand in people if hand.crews or hand.may or not hand.supervisor]
        left_out = max(0, len(crew) - MOST_PEOPLE)
        wanted = {want.scheme for job in jobs for want in job.wants}
        ways = [*_ways(crew[:MOST_PEOPLE], {slug: issues[slug] for slug in wanted & set(issues)}, on=on, at=at)]
        ways = [_not_before(one, arranged.get((one.hand, one.scheme))) for one in ways]
        trainers = _trainers(ways, issues, first, until)
    found = rules.plan(jobs, people, ways, trainers=trainers, stands=stands, notice=NOTICE, seconds=SECONDS, **given)
    words = Words(
        {hand.key: hand.name for hand in people},
        {str(one.pk): called(one) for one in rows},
        {slug: one.title for slug, one in issues.items()},
        watched(issues.values()),
    )
    bound = rules.bound_elsewhere(found.as_is, jobs, people, given["placed"])
    unseen = {way.scheme for way in ways if way.seen and not (trainers and trainers.assess.get(way.scheme))}
    page = told(found, bound, words, arranged, unseen)
    return Page(employer=employer.name, first=first, until=until, jobs=len(jobs), left_out=left_out, **page)


def _jobs(employer: Employer, first: date, until: date) -> list[Job]:
    rows = Job.objects.filter(employer=employer, closed_at=None, last_on__gte=first, first_on__lte=until)
    return list(rows.prefetch_related("wants__scheme").select_related("employer"))


def _within(job: Asked, first: date, until: date) -> Asked:
    return replace(job, first=max(job.first, first), last=min(job.last, until))


def _ways(crew: Sequence[Hand], issues: Mapping[str, SchemeIssue], *, on: date, at: datetime) -> Iterator[Way]:
    """Yield what each person still needs under each scheme, as their own record tells it."""
    slugs = {issue.title: slug for slug, issue in issues.items()}
    people = Person.objects.filter(pk__in=[int(hand.key) for hand in crew]).select_related("employer")
    records = own_schemes_of(list(people), on=on, at=at)
    for hand in crew:
        for own in records[int(hand.key)]:
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


def _trainers(ways: Sequence[Way], issues: Mapping[str, SchemeIssue], first: date, until: date) -> Trainers:
    """Return who may assess these people on the first day, and on which days they cannot come."""
    groups = {(way.hand, way.scheme): (frozenset([int(way.hand)]), issues[way.scheme].scheme_id) for way in ways}
    free = free_to_assess(groups.values(), on=first)
    fewer = {key: frozenset(str(one.pk) for one in free[group]) for key, group in groups.items()}
    assess: dict[str, frozenset[str]] = {}
    for (_hand, slug), some in fewer.items():
        assess[slug] = assess.get(slug, frozenset()) | some
    return Trainers(assess, fewer, {day: frozenset(map(str, some)) for day, some in engaged(first, until).items()})


def _arranged(employer: Employer, *, on: date) -> Arrangements:
    """Return the visits that are asked for and not declined, by whom they are for."""
    open_ones = Arranged.objects.filter(employer=employer, on__gte=on, called_off_at=None).exclude(accepted=False)
    return {
        (str(person), one.scheme.slug): one
        for one in open_ones.select_related("scheme").prefetch_related("steps")
        for person in {step.person_id for step in one.steps.all()}
    }


def _not_before(way: Way, visit: Arranged | None) -> Way:
    """Keep a way to the visit that is asked for already, before others; one that comes too soon for it is no help."""
    if visit is None or not way.seen or visit.on < way.from_on:
        return way
    return replace(way, from_on=visit.on, arranged=True)
