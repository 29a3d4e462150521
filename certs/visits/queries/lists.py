"""Reading visits: lists for those who ask and those who are asked, one visit, and the days for a calendar."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime
from itertools import chain
from urllib.parse import urlencode

from django.db.models import Prefetch, Q, QuerySet

from certs.records.queries.own import own_schemes_of
from certs.records.rules import Step as Next
from certs.schemes.models import Authority, SchemeIssue
from certs.schemes.queries import current_issues
from certs.schemes.rules import Act
from certs.signoffs.models import Signoff
from certs.signoffs.queries import free_to_assess
from certs.visits import rules
from certs.visits.models import STANDING_WORDS, STEP_WORDS, Visit, VisitRefusal, VisitStep
from certs.visits.rules import Standing, Step
from training.people.models import Person
from training.quizzes.models import Paper, Sitting
from training.quizzes.queries import counting, invigilated

# Older ones are found on the record of the person.
MOST_OVER = 40


@dataclass(frozen=True, slots=True)
class Line:
    """What a person does at a visit, in words, and whether a record shows it since its day.

    `already`: the day of a practical passed after the visit was asked for and before its day, which then is needless.
    """

    pk: int
    name: str
    what: str
    done: bool
    already: date | None


@dataclass(frozen=True, slots=True)
class Shown:
    """A visit as it stands on a day."""

    visit: Visit
    scheme: str
    standing: Standing
    words: str
    lines: tuple[Line, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Return whom it is for, each once."""
        return tuple(dict.fromkeys(line.name for line in self.lines))

    @property
    def can_be_asked_again(self) -> bool:
        """Whether it is not to be, or was not done in full."""
        return not self.standing.is_open and self.standing is not Standing.DONE

    def can_be_offered(self, *, on: date) -> bool:
        """Whether another trainer may be asked in the place of the one who declined."""
        return self.standing is Standing.DECLINED and self.visit.on >= on

    @property
    def again(self) -> str:
        """Return what asks for it anew where it was not done, as the query of an address."""
        left = dict.fromkeys(line.pk for line in self.lines if not line.done)
        return urlencode(
            {"scheme": self.visit.scheme.slug, "place": self.visit.place, "person": list(left)}, doseq=True
        )


@dataclass(frozen=True, slots=True)
class Lists:
    """Visits to come, the nearest first, and those that are over or not to be."""

    ahead: tuple[Shown, ...]
    over: tuple[Shown, ...]


def index(visits: QuerySet[Visit], *, on: date) -> Lists:
    """Return the visits in two lists, in six queries."""
    found = shown(visits.order_by("-on", "-pk")[: 2 * MOST_OVER], on=on)
    ahead = tuple(one for one in reversed(found) if one.standing.is_open)
    return Lists(ahead, tuple(one for one in found if not one.standing.is_open)[:MOST_OVER])


def shown(visits: QuerySet[Visit], *, on: date) -> list[Shown]:
    """Return visits as they stand, in order, in six queries."""
    steps = VisitStep.objects.select_related("person").order_by("person__name", "person", "step")
    loaded = list(
        visits.select_related("employer", "scheme", "trainer", "asked_by").prefetch_related(Prefetch("steps", steps))
    )
    titles = {issue.scheme_id: issue for issue in current_issues()}
    practicals, papers = _records(loaded)
    return [_shown(one, titles, practicals, papers, on=on) for one in loaded]


# The days of practicals by person and scheme, and of papers by person and paper, each with whether it was passed.
Practicals = dict[tuple[int, int], list[tuple[date, bool]]]
Papers = dict[tuple[int, str], list[tuple[date, bool]]]


def _records(visits: Sequence[Visit]) -> tuple[Practicals, Papers]:
    """Return the practicals and the papers since a visit was asked for."""
    people = {step.person_id for one in visits for step in one.steps.all()}
    first = min((min(one.on, one.asked_at.date()) for one in visits), default=date.max)
    practicals: Practicals = {}
    signed = Signoff.objects.filter(person__in=people, assessed_on__gte=first)
    for person, scheme, day, passed in signed.values_list("person", "scheme_issue__scheme", "assessed_on", "passed"):
        practicals.setdefault((person, scheme), []).append((day, passed))
    papers: Papers = {}
    sat = counting(Sitting.objects.filter(person__in=people, handed_in_at__date__gte=first))
    for person, paper, day, passed in sat.values_list("person", "paper__slug", "handed_in_at__date", "counts_passed"):
        papers.setdefault((person, paper), []).append((day, passed))
    return practicals, papers


def _shown(
    visit: Visit,
    titles: dict[int, SchemeIssue],
    practicals: Practicals,
    papers: Papers,
    *,
    on: date,
) -> Shown:
    issue = titles.get(visit.scheme_id)
    lines = []
    for step in visit.steps.all():
        if step.step == Step.PRACTICAL:
            seen = practicals.get((step.person_id, visit.scheme_id), [])
        else:
            seen = papers.get((step.person_id, issue.body["paper"] if issue else ""), [])
        before = [day for day, passed in seen if passed and visit.asked_at.date() <= day < visit.on]
        # A paper passed before the visit is one thing less to do there, and does not make the visit needless.
        done = any(day >= visit.on for day, _passed in seen) or (step.step == Step.PAPER and bool(before))
        already = None if done else max(before, default=None)
        lines.append(Line(step.person_id, step.person.name, str(STEP_WORDS[Step(step.step)]), done, already))
    stands = rules.standing(
        visit_on=visit.on,
        accepted=visit.accepted,
        called_off=visit.called_off_at is not None,
        left=sum(not line.done for line in lines),
        on=on,
    )
    title = issue.title if issue else visit.scheme.slug
    return Shown(visit, title, stands, str(STANDING_WORDS[stands]), tuple(lines))


def accepted_for(person: Person, *, employer: bool) -> QuerySet[Visit]:
    """Return the accepted visits of a person's calendar: as trainer, as candidate, and all of the employer's."""
    mine = Q(trainer=person) | Q(steps__person=person)
    if employer:
        mine |= Q(employer=person.employer_id)
    return Visit.objects.filter(mine, accepted=True, called_off_at=None).distinct().order_by("on", "pk")


def assessors(*, on: date) -> QuerySet[Person]:
    """Return who may assess under some scheme on a day."""
    held = Authority.objects.in_force_on(on).filter(act=Act.ASSESSES)
    return Person.objects.filter(is_active=True, pk__in=held.values("person")).order_by("name", "pk")


def declined_by(visit: Visit) -> set[int]:
    """Return who has declined a visit so far, by number."""
    last = {visit.trainer_id} if visit.accepted is False else set()
    return last | set(visit.refusals.values_list("trainer", flat=True))


def engaged(first: date, until: date) -> dict[date, set[int]]:
    """Return by day who is asked to come somewhere, or has said that they do not come: two queries."""
    days = Q(on__gte=first, on__lte=until)
    asked = Visit.objects.filter(days & (Q(called_off_at=None) | Q(accepted=False))).values_list("on", "trainer")
    declined = VisitRefusal.objects.filter(visit__on__gte=first, visit__on__lte=until)
    found: dict[date, set[int]] = defaultdict(set)
    for day, trainer in chain(asked, declined.values_list("visit__on", "trainer")):
        found[day].add(trainer)
    return found


def refusals(visit: Visit) -> QuerySet[VisitRefusal]:
    """Return who declined before another trainer was asked, the first first."""
    return visit.refusals.select_related("trainer").order_by("answered_at", "pk")


def others(visit: Visit) -> QuerySet[Person]:
    """Return who may be asked as well: allowed to assess that day, without having declined or trained one of them."""
    group = frozenset(visit.steps.values_list("person", flat=True)), visit.scheme_id
    free = {one.pk for one in free_to_assess([group], on=visit.on)[group]}
    found = Person.objects.filter(pk__in=free - declined_by(visit))
    return found.select_related("employer").order_by("name", "pk")


def assessed(*, on: date) -> dict[int, str]:
    """Return by person which schemes they may assess under on a day, in words: two queries."""
    titles = {issue.scheme_id: issue.title for issue in current_issues()}
    found: dict[int, list[str]] = {}
    held = Authority.objects.in_force_on(on).filter(act=Act.ASSESSES, scheme__in=titles).distinct()
    for person, scheme in held.values_list("person", "scheme"):
        found.setdefault(person, []).append(titles[scheme])
    return {person: ", ".join(sorted(theirs)) for person, theirs in found.items()}


def steps_at(people: Iterable[Person], issue: SchemeIssue, *, on: date, at: datetime) -> dict[int, tuple[Step, ...]]:
    """Return by person what a trainer does with them at a visit, from their record: a dozen queries in all."""
    there = bool(watched([issue]))
    records = own_schemes_of(list(people), on=on, at=at)
    upcoming = {key: (own.step for own in theirs if own.title == issue.title) for key, theirs in records.items()}
    return {key: rules.steps(next(found, Next.NOTHING), invigilated=there) for key, found in upcoming.items()}


def watched(issues: Iterable[SchemeIssue]) -> frozenset[str]:
    """Return the schemes whose paper is invigilated and therefore sat at a visit, by slug: two queries."""
    papers = frozenset(Paper.objects.filter(pk__in=invigilated()).values_list("slug", flat=True))
    return frozenset(one.scheme.slug for one in issues if one.body["paper"] in papers)


def busy(people: AbstractSet[int], scheme: int, *, on: date) -> tuple[str, ...]:
    """Return the names of those among these people who have an open visit under a scheme already."""
    open_ones = Visit.objects.filter(scheme=scheme, on__gte=on, called_off_at=None).exclude(accepted=False)
    names = open_ones.filter(steps__person__in=people).values_list("steps__person__name", flat=True)
    return tuple(names.order_by("steps__person__name").distinct())
