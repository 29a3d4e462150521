"""Papers on offer, what a person may do with each now, and who has passed."""

from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from uuid import UUID
from zoneinfo import ZoneInfo

from django.utils.formats import date_format, time_format

from training.people.models import Person
from training.people.rules import local_day
from training.quizzes import rules
from training.quizzes.models import Paper, PaperIssue, Sitting


@dataclass(frozen=True, slots=True)
class Terms:
    """The rules of a paper as its issue states them."""

    slug: str
    title: str
    minutes: int
    questions: int
    needed: str
    waits_days: tuple[int, ...]

    @property
    def waits(self) -> str:
        """Return the waits in words: 1, 7, 30."""
        return ", ".join(map(str, self.waits_days))


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A paper on offer, and what the person may do with it now."""

    terms: Terms
    open_sitting: UUID | None
    time_is_up: bool
    passed_on: date | None
    free_on: date | None
    many_misses: bool

    @property
    def may(self) -> bool:
        """Say whether the person may open a new sitting now."""
        return self.open_sitting is None and self.free_on is None


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
    )


def passing(issue: PaperIssue) -> Fraction:
    """Return the share of the marks that passes."""
    return Fraction(issue.body["passing"])


def issue_of(paper: Paper) -> PaperIssue:
    """Return the latest issue of a paper."""
    return paper.issues.select_related("paper").latest("version")


def clock(moment: datetime, person: Person) -> str:
    """Return a moment as printed where the person works: `14:05, 25 Nov 2026`."""
    local = moment.astimezone(ZoneInfo(person.employer.zone))
    return f"{time_format(local)}, {date_format(local)}"


def index(person: Person, *, at: datetime) -> PapersPage:
    """Return the papers page of a person: two queries."""
    issues = PaperIssue.objects.select_related("paper").filter(paper__retired_at__isnull=True)
    latest = {issue.paper_id: issue for issue in issues.order_by("paper__slug", "version")}
    sittings = list(person.sittings.select_related("issue").order_by("opened_at"))
    return PapersPage(
        papers=tuple(
            _row(issue, [one for one in sittings if one.paper_id == paper], person, at=at)
            for paper, issue in latest.items()
        ),
        sittings=tuple(_past(one, person) for one in reversed(sittings) if one.handed_in_at),
    )


def row(person: Person, issue: PaperIssue, *, at: datetime) -> PaperRow:
    """Return one paper and what the person may do with it now: one query."""
    return _row(issue, list(person.sittings.filter(paper_id=issue.paper_id).order_by("opened_at")), person, at=at)


def _row(issue: PaperIssue, sittings: list[Sitting], person: Person, *, at: datetime) -> PaperRow:
    now_open = next((one for one in sittings if one.handed_in_at is None), None)
    earlier = ended(sittings, person)
    free_on = rules.free_on(earlier, issue.body["waits_days"])
    return PaperRow(
        terms=terms(issue),
        open_sitting=now_open.pk if now_open else None,
        time_is_up=now_open is not None and rules.overdue(due_at=now_open.due_at, at=at),
        passed_on=next((one.on for one in reversed(earlier) if one.passed), None),
        free_on=free_on if free_on and free_on > local_day(at, ZoneInfo(person.employer.zone)) else None,
        many_misses=rules.misses(earlier) >= rules.MANY_MISSES,
    )


def ended(sittings: list[Sitting], person: Person) -> list[rules.Ended]:
    """Return the sittings that are over, as the rules want them, oldest first."""
    zone = ZoneInfo(person.employer.zone)
    return [rules.Ended(local_day(one.handed_in_at, zone), one.passed) for one in sittings if one.handed_in_at]


def _past(sitting: Sitting, person: Person) -> SittingRow:
    day = local_day(sitting.handed_in_at, ZoneInfo(person.employer.zone))
    return SittingRow(
        sitting.pk, sitting.issue.title, day, sitting.passed, rules.figure(earned(sitting)), sitting.out_of
    )


def earned(sitting: Sitting) -> Fraction:
    """Return the marks of a handed-in sitting, exactly."""
    return Fraction(sitting.earned_numerator, sitting.earned_denominator)


def passed_sitting(person: Person, paper_slug: str) -> Sitting | None:
    """Return the person's latest passed sitting of a paper."""
    return person.sittings.filter(paper__slug=paper_slug, passed=True).order_by("-handed_in_at").first()


def passed_people(paper_slug: str) -> list[Sitting]:
    """Return each person's latest passed sitting of a paper, oldest first; person and employer are loaded."""
    passed = Sitting.objects.filter(paper__slug=paper_slug, passed=True).select_related("person__employer")
    latest = {one.person_id: one for one in passed.order_by("handed_in_at")}
    return sorted(latest.values(), key=lambda one: one.handed_in_at)
