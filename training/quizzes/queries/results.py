"""A handed-in sitting: what it came to, and every question with its working."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from math import floor

from training.bank import rules as bank
from training.bank.queries import PartTold, part_told
from training.procedures.models import Revision
from training.quizzes import rules
from training.quizzes.models import PartMark, Sitting, SittingItem
from training.quizzes.queries.papers import Terms, clock, earned, passing, row


@dataclass(frozen=True, slots=True)
class StepLink:
    """A step of a procedure to read again."""

    module: str
    step: str
    title: str


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
        givens=bank.givens(item.shown),
        safety=marked.safety,
        right=marked.earned == 1,
        score=rules.figure(marked.earned),
        parts=tuple(part_told(shown, key, marks[shown["name"]]) for shown, key in sides),
        steps=tuple(
            StepLink(module, step, titles.get(f"{module}.{step}", titles.get(module, module)))
            for module, _dot, step in steps
        ),
    )
