"""Corrections of keys: what may be put right about a question, and which papers a correction marks again."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext as _

from training.bank.models import Correction, QuestionVersion
from training.bank.queries import changes
from training.content.questions import read_question
from training.people.models import Person
from training.questions.book import calculations
from training.questions.canonical import digest
from training.questions.correcting import Change, What, dropped
from training.questions.specs import Ask, PartSpec
from training.questions.units import unit
from training.questions.values import PLACE
from training.quizzes.models import Remark, Sitting
from training.quizzes.queries import clock, touched
from training.quizzes.queries.counting import Again
from training.quizzes.rules import figure
from training.reviews.rules import Offer


def offers(version: QuestionVersion) -> tuple[Offer, ...]:
    """Return the parts of a question with what may be put right about each, as the key stands now."""
    spec = read_question(version.body, book=calculations(), seeds=0)
    done = changes([version.pk]).get(version.pk, ())
    parts = (replace(part, prompt=without_gaps(part.prompt)) for part in spec.parts)
    return tuple(_offer(part, [one for one in done if one.part == part.name]) for part in parts)


def _offer(part: PartSpec, done: Sequence[Change]) -> Offer:
    offer = _written(part)
    for change in done:
        if change.what is What.TOLERANCE:
            offer = replace(offer, absolute=change.absolute, relative=change.relative)
        else:
            offer = replace(offer, right=change.lines)
    return offer


def _written(part: PartSpec) -> Offer:
    if part.ask is Ask.ORDER:
        return Offer(name=part.name, prompt=part.prompt, what=What.ORDER, lines=part.order, right=part.order)
    if part.options:
        lines = tuple(option.text for option in part.options)
        right = tuple(option.text for option in part.options if option.right)
        return Offer(name=part.name, prompt=part.prompt, what=What.RIGHT, lines=lines, right=right)
    answer = part.answer
    if answer is None or answer.options or answer.round != "nearest":
        return Offer(name=part.name, prompt=part.prompt, what=None)
    return Offer(
        name=part.name,
        prompt=part.prompt,
        what=What.TOLERANCE,
        unit=unit(answer.unit).symbol,
        absolute=answer.absolute,
        relative=answer.relative,
    )


def without_gaps(text: str) -> str:
    """Return a text of the author with an ellipsis where each paper has its own value."""
    return PLACE.sub("…", text)


def is_dropped(version: QuestionVersion) -> bool:
    """Say whether the question was taken out already."""
    return dropped(changes([version.pk]).get(version.pk, ()))


def words(change: Change, *, unit_symbol: str = "") -> tuple[str, ...]:
    """Say what a change makes right, a line each."""
    if change.what is What.DROP:
        return (_("The question is taken out: everyone has its mark."),)
    if change.what is What.TOLERANCE:
        return tuple(_widths(change, unit_symbol))
    if change.what is What.ORDER:
        return (_("The right order:"), *(f"{place}. {line}" for place, line in enumerate(change.lines, start=1)))
    return (_("Right is:"), *change.lines)


def _widths(change: Change, symbol: str) -> Iterator[str]:
    if change.absolute:
        yield _("Right within %(width)s of the answer.") % {"width": f"{figure(change.absolute, decimals=6)} {symbol}"}
    if change.relative:
        yield _("Right within %(share)s\u00a0%% of the answer.") % {"share": figure(change.relative * 100, decimals=4)}


@dataclass(frozen=True, slots=True)
class TouchedRow:
    """A paper that a correction marks again, with both marks."""

    name: str
    paper: str
    handed_in: str
    was: str
    now: str
    out_of: int
    was_passed: bool
    now_passed: bool

    @property
    def turns(self) -> bool:
        """Whether the result changes."""
        return self.was_passed != self.now_passed


@dataclass(frozen=True, slots=True)
class CorrectionPage:
    """A correction with what it would do, or did; `digest` names the list of papers that was looked at."""

    correction: Correction
    version: QuestionVersion
    prompt: str
    what: tuple[str, ...]
    rows: tuple[TouchedRow, ...]
    open_papers: int
    digest: str
    own: bool
    may_decide: bool

    @property
    def turned(self) -> tuple[TouchedRow, ...]:
        """The papers whose result changes."""
        return tuple(row for row in self.rows if row.turns)

    @property
    def others(self) -> tuple[TouchedRow, ...]:
        """The papers whose result stays."""
        return tuple(row for row in self.rows if not row.turns)


def papers(correction: Correction) -> list[Again]:
    """Return what a correction that waits would do to every paper it touches. Raises correcting.Unmatched."""
    version = correction.question_version
    change = Change.from_json(correction.change)
    return touched(version, (*changes([version.pk]).get(version.pk, ()), change))


def digest_of(found: Sequence[Again]) -> str:
    """Return the fingerprint of a list of papers with both marks: what the second person saw is what is applied."""
    facts = [[str(one.sitting.pk), str(one.was.earned), str(one.outcome.earned)] for one in found]
    return digest(facts)


def page(correction: Correction, *, person: Person) -> CorrectionPage:
    """Return the page of a correction: what it would do while it waits, afterwards what it did."""
    version = correction.question_version
    change = Change.from_json(correction.change)
    symbol = next((one.unit for one in offers(version) if one.name == change.part), "")
    waits = correction.decided_at is None
    found = papers(correction) if waits else []
    rows = [_would(one, person) for one in found] if waits else [_did(one, person) for one in _remarks(correction)]
    still_open = Sitting.objects.filter(items__question_version=version, handed_in_at__isnull=True)
    return CorrectionPage(
        correction=correction,
        version=version,
        prompt=without_gaps(version.body["prompt"]),
        what=words(change, unit_symbol=symbol),
        rows=tuple(rows),
        open_papers=still_open.distinct().count() if waits else 0,
        digest=digest_of(found),
        own=correction.proposed_by_id == person.pk,
        may_decide=waits and correction.proposed_by_id != person.pk,
    )


def _would(one: Again, person: Person) -> TouchedRow:
    sitting = one.sitting
    return TouchedRow(
        name=sitting.person.name,
        paper=sitting.issue.title,
        handed_in=clock(sitting.handed_in_at, person),
        was=figure(one.was.earned),
        now=figure(one.outcome.earned),
        out_of=sitting.out_of,
        was_passed=one.was.passed,
        now_passed=one.outcome.passed,
    )


def _remarks(correction: Correction) -> QuerySet[Remark]:
    rows = correction.remarks.select_related("sitting__person", "sitting__issue").defer("sitting__issue__body")
    return rows.order_by("sitting__handed_in_at", "pk")


def _did(remark: Remark, person: Person) -> TouchedRow:
    sitting = remark.sitting
    return TouchedRow(
        name=sitting.person.name,
        paper=sitting.issue.title,
        handed_in=clock(sitting.handed_in_at, person),
        was=figure(Fraction(remark.was_numerator, remark.was_denominator)),
        now=figure(Fraction(remark.earned_numerator, remark.earned_denominator)),
        out_of=sitting.out_of,
        was_passed=remark.was_passed,
        now_passed=remark.passed,
    )


@dataclass(frozen=True, slots=True)
class CorrectionRow:
    """A correction in the list."""

    pk: int
    key: str
    version: int
    by: str
    at: datetime
    reason: str
    applied: bool | None
    papers: int
    turned: int


def index(*, waits: bool, limit: int = 50) -> list[CorrectionRow]:
    """List the corrections that wait, the oldest first, or those decided, the newest first: one query."""
    rows = Correction.objects.filter(decided_at__isnull=waits).select_related(
        "question_version__question", "proposed_by"
    )
    turned = Q(remarks__was_passed=True, remarks__passed=False) | Q(remarks__was_passed=False, remarks__passed=True)
    counted = rows.annotate(papers=Count("remarks"), turned=Count("remarks", filter=turned))
    return [
        CorrectionRow(
            pk=one.pk,
            key=one.question_version.question.key,
            version=one.question_version.version,
            by=one.proposed_by.name,
            at=one.proposed_at,
            reason=one.reason,
            applied=one.applied,
            papers=one.papers,
            turned=one.turned,
        )
        for one in counted.order_by("proposed_at" if waits else "-decided_at", "pk")[:limit]
    ]
