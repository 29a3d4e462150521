"""A handed-in sitting: what it came to, and every question with its working."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from math import floor
from uuid import UUID

from training.bank import rules as bank
from training.bank.queries import PartTold, changes, part_told
from training.questions.correcting import Change, corrected, dropped
from training.questions.item import Item
from training.quizzes import rules
from training.quizzes.models import PartMark, Remark, Sitting, SittingItem
from training.quizzes.queries.counting import MARKS, counted, latest, share
from training.quizzes.queries.marking import outcome_of
from training.quizzes.queries.papers import Terms, clock, row
from training.quizzes.queries.titles import titles_of


@dataclass(frozen=True, slots=True)
class StepLink:
    """A step of a procedure to read again; `of` is the title of the procedure."""

    module: str
    step: str
    title: str
    of: str


@dataclass(frozen=True, slots=True)
class QuestionResult:
    """One question after marking."""

    position: int
    prompt: str
    givens: tuple[tuple[str, str], ...]
    safety: bool
    right: bool
    score: str
    parts: tuple[PartTold, ...]
    steps: tuple[StepLink, ...]
    corrected: bool
    dropped: bool


@dataclass(frozen=True, slots=True)
class TopicScore:
    """What a topic earned; `percent` is for its bar."""

    title: str
    score: str
    out_of: int
    percent: int


@dataclass(frozen=True, slots=True)
class MarkedAgain:
    """A new mark of the paper beside the one before it, by whom and why."""

    when: str
    by: str
    reason: str
    was: str
    was_passed: bool
    score: str
    passed: bool


@dataclass(frozen=True, slots=True)
class Result:
    """A handed-in sitting as it counts: the outcome, the profile, every question with its working, the marks since."""

    pk: UUID
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
    remarks: tuple[MarkedAgain, ...]
    short: tuple[str, ...] = ()

    @property
    def again(self) -> tuple[StepLink, ...]:
        """Return the steps of every question that was not fully right, each once, those of a procedure together."""
        steps = dict.fromkeys(step for one in self.questions if not one.right for step in one.steps)
        modules = list(dict.fromkeys(step.module for step in steps))
        return tuple(sorted(steps, key=lambda step: modules.index(step.module)))


def result(sitting: Sitting, *, at: datetime) -> Result:
    """Return the page of a handed-in sitting: seven queries."""
    rows = sitting.items.select_related("question_version").prefetch_related(MARKS).order_by("position")
    items = [(item, {mark.part: mark for mark in item.marks.all()}) for item in rows]
    changed = changes([item.question_version_id for item, _marks in items])
    remarks = list(sitting.remarks.select_related("by").order_by("number"))
    count = counted(sitting)
    marked = [_marked(item, marks) for item, marks in items]
    outcome = outcome_of(sitting.issue, marked)
    steps = {step for item, _marks in items for step in item.question_version.body.get("steps", ())}
    topics = {one.topic for one in marked}
    titles = titles_of({step.partition(".")[0] for step in steps} | topics)
    paper = row(sitting.person, sitting.issue, at=at)
    return Result(
        terms=paper.terms,
        pk=sitting.pk,
        name=sitting.person.name,
        handed_in=clock(sitting.handed_in_at, sitting.person),
        outcome=outcome,
        short=tuple(titles.get(topic, topic) for topic in outcome.topics),
        passed=count.passed,
        score=rules.figure(count.earned),
        out_of=sitting.out_of,
        profile=tuple(
            TopicScore(titles.get(topic, topic), rules.figure(got), of, floor(got * 100 / of))
            for topic, (got, of) in rules.profile(marked).items()
        ),
        questions=tuple(
            _question(item, marks, one, titles, changed.get(item.question_version_id, ()))
            for (item, marks), one in zip(items, marked, strict=True)
        ),
        free_on=paper.free_on,
        many_misses=paper.many_misses,
        remarks=tuple(_remark(one, sitting) for one in remarks),
    )


def _remark(one: Remark, sitting: Sitting) -> MarkedAgain:
    return MarkedAgain(
        when=clock(one.at, sitting.person),
        by=one.by.name,
        reason=one.reason,
        was=rules.figure(Fraction(one.was_numerator, one.was_denominator)),
        was_passed=one.was_passed,
        score=rules.figure(Fraction(one.earned_numerator, one.earned_denominator)),
        passed=one.passed,
    )


def _marked(item: SittingItem, marks: Mapping[str, PartMark]) -> rules.Marked:
    version = item.question_version
    shares = tuple(share(latest(mark)) for mark in marks.values())
    return rules.Marked(item.position, version.topic, version.safety, shares)


@dataclass(frozen=True, slots=True)
class _Read:
    """The mark of a part that counts, with the answer as it was read at the hand-in."""

    read: str
    says: str
    flags: Sequence[str]


def _counts(mark: PartMark) -> _Read:
    last = latest(mark)
    return _Read(mark.read, last.says, last.flags)


def _question(
    item: SittingItem,
    marks: Mapping[str, PartMark],
    marked: rules.Marked,
    titles: Mapping[str, str],
    changed: Sequence[Change],
) -> QuestionResult:
    sealed = corrected(Item.from_json(item.shown, item.sealed), changed).key() if changed else item.sealed
    sides = zip(item.shown["parts"], sealed["parts"], strict=True)
    steps = (step.partition(".") for step in item.question_version.body.get("steps", ()))
    return QuestionResult(
        position=item.position,
        prompt=item.shown["prompt"],
        givens=bank.givens(item.shown),
        safety=marked.safety,
        right=marked.earned == 1,
        score=rules.figure(marked.earned),
        parts=tuple(part_told(shown, key, _counts(marks[shown["name"]])) for shown, key in sides),
        steps=tuple(
            StepLink(module, step, titles.get(f"{module}.{step}", of), of)
            for module, _dot, step in steps
            for of in (titles.get(module, module),)
        ),
        corrected=bool(changed),
        dropped=dropped(changed),
    )
