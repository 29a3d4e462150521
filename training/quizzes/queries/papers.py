"""Papers on offer, what a person may do with each now, and who has passed."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from uuid import UUID
from zoneinfo import ZoneInfo

from django.utils.formats import date_format

from training.bank.models import QuestionVersion
from training.people.models import Person
from training.people.rules import local_day
from training.quizzes import rules
from training.quizzes.models import Accommodation, Paper, PaperIssue, Retraining, Sitting
from training.quizzes.queries.counting import counted, counting, passed
from training.quizzes.queries.supply import cells, papers_pool, shortages


@dataclass(frozen=True, slots=True)
class Terms:
    """The rules of a paper as its issue states them."""

    slug: str
    title: str
    minutes: int
    questions: int
    needed: str
    waits_days: tuple[int, ...]
    invigilated: bool
    retraining_first: bool
    part_months: int

    @property
    def waits(self) -> str:
        """Return the waits in words: 1, 7, 30."""
        return ", ".join(map(str, self.waits_days))


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A paper on offer, and what the person may do with it now.

    `topics` are those to be sat again, none for the whole paper; `wanting` says that it cannot be put together; `last`
    is the last sitting that is over.
    """

    terms: Terms
    open_sitting: UUID | None
    time_is_up: bool
    passed_on: date | None
    free_on: date | None
    many_misses: bool
    topics: tuple[str, ...] = ()
    wanting: bool = False
    last: UUID | None = None

    @property
    def must_retrain(self) -> bool:
        """Say whether the paper waits for retraining to be put on record."""
        return self.many_misses and self.terms.retraining_first

    @property
    def may(self) -> bool:
        """Say whether the person may open a new sitting now."""
        return self.open_sitting is None and self.free_on is None and not self.must_retrain and not self.wanting


@dataclass(frozen=True, slots=True)
class SittingRow:
    """One sitting that is over."""

    id: UUID
    title: str
    on: date
    passed: bool
    score: str
    out_of: int


@dataclass(frozen=True, slots=True)
class PapersPage:
    """The papers on offer and the person's own sittings, newest first."""

    papers: tuple[PaperRow, ...]
    sittings: tuple[SittingRow, ...]


def terms(issue: PaperIssue) -> Terms:
    """Return the rules of an issue; its paper must be loaded."""
    count = sum(cell["count"] for cell in issue.body["cells"])
    return Terms(
        slug=issue.paper.slug,
        title=issue.title,
        minutes=issue.body["minutes"],
        questions=count,
        needed=rules.figure(passing(issue) * count),
        waits_days=tuple(issue.body["waits_days"]),
        invigilated=issue.body.get("invigilated", False),
        retraining_first=issue.body.get("retraining_first", False),
        part_months=issue.body.get("part_months", 0),
    )


def passing(issue: PaperIssue) -> Fraction:
    """Return the share of the marks that passes."""
    return Fraction(issue.body["passing"])


def issue_of(paper: Paper) -> PaperIssue:
    """Return the latest issue of a paper."""
    return paper.issues.select_related("paper").latest("version")


def clock(moment: datetime, person: Person) -> str:
    """Return a moment as printed where the person works: `25 Nov 2026, 14:05`."""
    return date_format(moment.astimezone(ZoneInfo(person.employer.zone)), "DATETIME_FORMAT")


def index(person: Person, *, at: datetime, weighed: bool = False) -> PapersPage:
    """Return the papers page of a person: three queries.

    `weighed` asks as well whether each paper can be put together from the questions there are, which reads them all.
    """
    sittings = list(counting(person.sittings.select_related("issue").order_by("opened_at")))
    versions = papers_pool() if weighed else None
    theirs = [one for one in sittings if one.handed_in_at]
    return PapersPage(
        papers=_rows([person], sittings, at=at, versions=versions)[person.pk],
        sittings=tuple(_past(one, person) for one in reversed(theirs)),
    )


def rows(people: Sequence[Person], *, at: datetime) -> dict[int, tuple[PaperRow, ...]]:
    """Return the papers on offer and what each person may do with them, as far as their past goes: three queries.

    Their employers must be loaded.
    """
    sittings = counting(Sitting.objects.filter(person__in=people).order_by("opened_at"))
    return _rows(people, list(sittings), at=at)


def _rows(
    people: Sequence[Person],
    sittings: list[Sitting],
    *,
    at: datetime,
    versions: Mapping[str, QuestionVersion] | None = None,
) -> dict[int, tuple[PaperRow, ...]]:
    """Return the papers by person; where the `versions` in use are known, also whether each can be put together."""
    issues = PaperIssue.objects.select_related("paper").filter(paper__retired_at__isnull=True)
    latest = {issue.paper_id: issue for issue in issues.order_by("paper__slug", "version")}
    wanting = {paper: versions is not None and bool(shortages(issue, versions)) for paper, issue in latest.items()}
    past: dict[tuple[int, int], list[Sitting]] = defaultdict(list)
    for one in sittings:
        past[one.person_id, one.paper_id].append(one)
    retrained = retrained_on(people)
    return {
        person.pk: tuple(
            _row(
                issue,
                past[person.pk, paper],
                person,
                at=at,
                retrained=retrained.get((person.pk, paper)),
                wanting=wanting[paper],
            )
            for paper, issue in latest.items()
        )
        for person in people
    }


def row(person: Person, issue: PaperIssue, *, at: datetime) -> PaperRow:
    """Return one paper and what the person may do with it now, as far as their past goes: two queries."""
    sittings = list(counting(person.sittings.filter(paper_id=issue.paper_id).order_by("opened_at")))
    return _row(issue, sittings, person, at=at, retrained=retrained_on([person]).get((person.pk, issue.paper_id)))


def _row(
    issue: PaperIssue,
    sittings: list[Sitting],
    person: Person,
    *,
    at: datetime,
    retrained: date | None,
    wanting: bool = False,
) -> PaperRow:
    now_open = next((one for one in sittings if one.handed_in_at is None), None)
    earlier, today = ended(sittings, person), local_day(at, ZoneInfo(person.employer.zone))
    free_on = rules.free_on(earlier, issue.body["waits_days"])
    its = terms(issue)
    return PaperRow(
        terms=its,
        open_sitting=now_open.pk if now_open else None,
        time_is_up=now_open is not None and rules.overdue(due_at=now_open.due(at), at=at),
        passed_on=next((one.on for one in reversed(earlier) if one.passed), None),
        free_on=free_on if free_on and free_on > today else None,
        many_misses=rules.many_misses(earlier, on=today, retrained_on=retrained),
        topics=rules.topics_left(earlier, months=its.part_months, on=today),
        wanting=wanting,
        last=next((one.pk for one in reversed(sittings) if one.handed_in_at), None),
    )


def retrained_on(people: Sequence[Person]) -> dict[tuple[int, int], date]:
    """Return the day of the last retraining for a paper, by the numbers of person and paper: one query."""
    found = Retraining.objects.filter(person__in=people).order_by("ended_on")
    return {(person, paper): day for person, paper, day in found.values_list("person", "paper", "ended_on")}


def accommodation(person: Person, paper: Paper) -> Accommodation | None:
    """Return the last decision about a person's time on a paper, or none."""
    return person.accommodations.filter(paper=paper).order_by("-decided_at", "-pk").first()


def time_for(issue: PaperIssue, settled: Accommodation | None, topics: tuple[str, ...] = ()) -> int:
    """Return the minutes of a sitting: the paper's own or the topics' share, times what was settled for the person."""
    sat = sum(cell.count for cell in cells(issue, topics))
    factor = Fraction(settled.factor) if settled else Fraction(1)
    of = sum(cell.count for cell in cells(issue))
    return rules.minutes(issue.body["minutes"], factor=factor, sat=sat, of=of)


def ended(sittings: list[Sitting], person: Person) -> list[rules.Ended]:
    """Return the sittings that are over, as the rules want them, oldest first."""
    zone = ZoneInfo(person.employer.zone)
    return [
        rules.Ended(
            on=local_day(one.handed_in_at, zone),
            passed=counted(one).passed,
            short=counted(one).short,
            whole=one.resumes_id is None,
        )
        for one in sittings
        if one.handed_in_at
    ]


def _past(sitting: Sitting, person: Person) -> SittingRow:
    day = local_day(sitting.handed_in_at, ZoneInfo(person.employer.zone))
    mark = counted(sitting)
    return SittingRow(sitting.pk, sitting.issue.title, day, mark.passed, rules.figure(mark.earned), sitting.out_of)


def earned(sitting: Sitting) -> Fraction:
    """Return the marks of a handed-in sitting that count, exactly."""
    return counted(sitting).earned


def passed_sitting(person: Person, paper_slug: str) -> Sitting | None:
    """Return the person's latest passed sitting of a paper."""
    return passed(person.sittings.filter(paper__slug=paper_slug)).order_by("-handed_in_at").first()


def passed_people(paper_slug: str) -> list[Sitting]:
    """Return each person's latest passed sitting of a paper, oldest first; person and employer are loaded."""
    sittings = passed(Sitting.objects.filter(paper__slug=paper_slug)).select_related("person__employer")
    latest = {one.person_id: one for one in sittings.order_by("handed_in_at")}
    return sorted(latest.values(), key=lambda one: one.handed_in_at)
