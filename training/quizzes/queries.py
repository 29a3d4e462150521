"""What the pages of papers and sittings show: one function a page, a fixed number of queries each."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from math import floor
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.utils.formats import date_format, time_format

from training.people.models import Person
from training.procedures.models import Revision
from training.quizzes import rules
from training.quizzes.models import Paper, PaperIssue, PartMark, Sitting, SittingItem


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


def local_day(moment: datetime, person: Person) -> date:
    """Return the day of a moment where the person works."""
    return moment.astimezone(ZoneInfo(person.employer.zone)).date()


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
        free_on=free_on if free_on and free_on > local_day(at, person) else None,
        many_misses=rules.misses(earlier) >= rules.MANY_MISSES,
    )


def ended(sittings: list[Sitting], person: Person) -> list[rules.Ended]:
    """Return the sittings that are over, as the rules want them, oldest first."""
    return [rules.Ended(local_day(one.handed_in_at, person), one.passed) for one in sittings if one.handed_in_at]


def _past(sitting: Sitting, person: Person) -> SittingRow:
    day = local_day(sitting.handed_in_at, person)
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


@dataclass(frozen=True, slots=True)
class SheetQuestion:
    """A question as it may be seen, and what was last kept for it."""

    position: int
    shown: Mapping[str, Any]
    given: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Sheet:
    """An open sitting: the whole paper on one page."""

    id: UUID
    title: str
    due: str
    questions: tuple[SheetQuestion, ...]


def sheet(sitting: Sitting) -> Sheet:
    """Return the sheet of an open sitting: one query, which leaves the sealed side in the database."""
    rows = sitting.items.order_by("position").values_list("position", "shown", "answer__given")
    questions = tuple(SheetQuestion(position, shown, given or {}) for position, shown, given in rows)
    return Sheet(sitting.pk, sitting.issue.title, clock(sitting.due_at, sitting.person), questions)


@dataclass(frozen=True, slots=True)
class StepLink:
    """A step of a procedure to read again."""

    module: str
    step: str
    title: str


@dataclass(frozen=True, slots=True)
class PartResult:
    """One part after marking; `mistake` names the misconception in words."""

    prompt: str
    read: str
    right: tuple[str, ...]
    in_order: bool
    mistake: str
    working: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class QuestionResult:
    """One question after marking."""

    position: int
    prompt: str
    givens: tuple[Mapping[str, str], ...]
    safety: bool
    right: bool
    score: str
    parts: tuple[PartResult, ...]
    steps: tuple[StepLink, ...]


@dataclass(frozen=True, slots=True)
class TopicScore:
    """What a topic earned; `percent` is for its bar."""

    title: str
    score: str
    out_of: int
    percent: int


@dataclass(frozen=True, slots=True)
class Result:
    """A handed-in sitting: the outcome in words, the profile, every question with its working."""

    terms: Terms
    name: str
    handed_in: str
    outcome: rules.Outcome
    passed: bool
    score: str
    out_of: int
    profile: tuple[TopicScore, ...]
    questions: tuple[QuestionResult, ...]
    free_on: date | None
    many_misses: bool

    @property
    def again(self) -> tuple[StepLink, ...]:
        """Return the steps of every question that was not fully right, each once."""
        return tuple(dict.fromkeys(step for one in self.questions if not one.right for step in one.steps))


def result(sitting: Sitting, *, at: datetime) -> Result:
    """Return the page of a handed-in sitting: four queries."""
    rows = sitting.items.select_related("question_version").prefetch_related("marks").order_by("position")
    items = [(item, {mark.part: mark for mark in item.marks.all()}) for item in rows]
    marked = [_marked(item, marks) for item, marks in items]
    steps = {step for item, _marks in items for step in item.question_version.body.get("steps", ())}
    topics = {one.topic for one in marked}
    titles = _titles({step.partition(".")[0] for step in steps} | topics)
    paper = row(sitting.person, sitting.issue, at=at)
    return Result(
        terms=paper.terms,
        name=sitting.person.name,
        handed_in=clock(sitting.handed_in_at, sitting.person),
        outcome=rules.outcome(marked, passing=passing(sitting.issue)),
        passed=sitting.passed,
        score=rules.figure(earned(sitting)),
        out_of=sitting.out_of,
        profile=tuple(
            TopicScore(titles.get(topic, topic), rules.figure(got), of, floor(got * 100 / of))
            for topic, (got, of) in rules.profile(marked).items()
        ),
        questions=tuple(_question(item, marks, one, titles) for (item, marks), one in zip(items, marked, strict=True)),
        free_on=paper.free_on,
        many_misses=paper.many_misses,
    )


def _marked(item: SittingItem, marks: Mapping[str, PartMark]) -> rules.Marked:
    version = item.question_version
    shares = tuple(Fraction(mark.share_numerator, mark.share_denominator) for mark in marks.values())
    return rules.Marked(item.position, version.topic, version.safety, shares)


def _titles(modules: set[str]) -> dict[str, str]:
    """Return the titles of modules by slug, and of their steps by `module.step`, as the latest revision has them."""
    titles: dict[str, str] = {}
    for revision in Revision.objects.select_related("module").filter(module__slug__in=modules).order_by("number"):
        slug = revision.module.slug
        titles[slug] = revision.title
        titles |= {f"{slug}.{step['slug']}": step["title"] for step in revision.body.get("steps", ())}
    return titles


def _question(
    item: SittingItem, marks: Mapping[str, PartMark], marked: rules.Marked, titles: Mapping[str, str]
) -> QuestionResult:
    sides = zip(item.shown["parts"], item.sealed["parts"], strict=True)
    steps = (step.partition(".") for step in item.question_version.body.get("steps", ()))
    return QuestionResult(
        position=item.position,
        prompt=item.shown["prompt"],
        givens=tuple(item.shown["givens"]),
        safety=marked.safety,
        right=marked.earned == 1,
        score=rules.figure(marked.earned),
        parts=tuple(_part(shown, key, marks[shown["name"]]) for shown, key in sides),
        steps=tuple(
            StepLink(module, step, titles.get(f"{module}.{step}", titles.get(module, module)))
            for module, _dot, step in steps
        ),
    )


def _part(shown: Mapping[str, Any], key: Mapping[str, Any], mark: PartMark) -> PartResult:
    return PartResult(
        prompt=shown["prompt"],
        read=mark.read,
        right=rules.right_answer(shown, key),
        in_order=shown["answer"] == "order",
        mistake=mark.says,
        working=tuple(key["working"]),
        source=key["source"],
    )
