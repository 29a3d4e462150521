"""What is settled before a sitting: the page of a paper's rules, the list for staff, who waits at the door."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import QuerySet
from django.utils.formats import number_format

from training.people.models import Person
from training.quizzes import rules
from training.quizzes.models import Accommodation, Admission, PaperIssue, Retraining
from training.quizzes.queries.papers import PaperRow, accommodation, clock, row, time_for
from training.quizzes.queries.supply import cells
from training.quizzes.queries.titles import titles_of

SHOWN = 100


@dataclass(frozen=True, slots=True)
class StartPage:
    """The rules of a paper for one person: what they may do, their time, the topics asked, and the invigilator."""

    row: PaperRow
    minutes: int
    questions: int
    extra: bool
    break_minutes: int
    topics: tuple[str, ...]
    waits_for_invigilator: bool
    admitted_by: str


@dataclass(frozen=True, slots=True)
class TimeRow:
    """A decision about a person's time."""

    name: str
    employer: str
    paper: str
    factor: str
    break_minutes: int
    reason: str
    by: str
    when: str


@dataclass(frozen=True, slots=True)
class RetrainedRow:
    """Retraining on record."""

    name: str
    employer: str
    paper: str
    ended_on: object
    by: str


@dataclass(frozen=True, slots=True)
class ArrangementsPage:
    """What was settled lately, newest first."""

    times: tuple[TimeRow, ...]
    retrained: tuple[RetrainedRow, ...]


def start(person: Person, issue: PaperIssue, *, at: datetime) -> StartPage:
    """Return the page of a paper's rules: five queries."""
    what = row(person, issue, at=at)
    settled = accommodation(person, issue.paper)
    waiting = person.admissions.filter(paper=issue.paper, sitting__isnull=True).select_related("invigilator").first()
    admitted = waiting is not None and rules.admitted(waiting.admitted_at, at=at)
    names = titles_of(set(what.topics))
    return StartPage(
        row=what,
        minutes=time_for(issue, settled, what.topics),
        questions=sum(cell.count for cell in cells(issue, what.topics)),
        extra=settled is not None and settled.factor > 1,
        break_minutes=settled.break_minutes if settled else 0,
        topics=tuple(names.get(topic, topic) for topic in what.topics),
        waits_for_invigilator=what.terms.invigilated and waiting is not None and not admitted,
        admitted_by=waiting.invigilator.name if admitted else "",
    )


def titles() -> dict[int, str]:
    """Return the title of each paper in use by its number: one query."""
    issues = PaperIssue.objects.filter(paper__retired_at__isnull=True).order_by("paper__slug", "version")
    return dict(issues.values_list("paper_id", "title"))


def arrangements(people: QuerySet[Person]) -> ArrangementsPage:
    """Return the latest decisions about these people: three queries."""
    names = titles()
    times = Accommodation.objects.filter(person__in=people).select_related("person__employer", "decided_by")
    retrained = Retraining.objects.filter(person__in=people).select_related("person__employer", "said_by")
    return ArrangementsPage(
        times=tuple(_time(one, names) for one in times.order_by("-decided_at", "-pk")[:SHOWN]),
        retrained=tuple(
            RetrainedRow(
                name=one.person.name,
                employer=one.person.employer.name,
                paper=names.get(one.paper_id, ""),
                ended_on=one.ended_on,
                by=one.said_by.name,
            )
            for one in retrained.order_by("-recorded_at", "-pk")[:SHOWN]
        ),
    )


def _time(one: Accommodation, names: dict[int, str]) -> TimeRow:
    return TimeRow(
        name=one.person.name,
        employer=one.person.employer.name,
        paper=names.get(one.paper_id, ""),
        factor=number_format(_short(one.factor)),
        break_minutes=one.break_minutes,
        reason=one.reason,
        by=one.decided_by.name,
        when=clock(one.decided_at, one.person),
    )


def _short(factor: Decimal) -> Decimal:
    """Return 1.5 for 1.50, and 1 for 1.00."""
    return factor.quantize(Decimal(1)) if factor == factor.to_integral() else factor.normalize()


def waiting(people: QuerySet[Person]) -> list[Admission]:
    """Return the candidates who agreed to the rules of a paper and have not opened it, who waits longest first."""
    found = Admission.objects.filter(person__in=people, sitting__isnull=True, paper__retired_at__isnull=True)
    return list(found.select_related("person__employer", "paper", "invigilator").order_by("agreed_at", "pk"))


def invigilated() -> frozenset[int]:
    """Return the papers whose latest issue asks for an invigilator, by number: one query."""
    issues = PaperIssue.objects.filter(paper__retired_at__isnull=True).order_by("paper__slug", "version")
    latest = dict(issues.values_list("paper_id", "body"))
    return frozenset(paper for paper, body in latest.items() if body.get("invigilated"))
