"""Which mark of a sitting counts: that of the hand-in, or the last one given since. Told here and nowhere else."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any

from django.db.models import OuterRef, Prefetch, QuerySet, Subquery
from django.db.models.functions import Coalesce

from training.bank.models import QuestionVersion
from training.people.models import Person
from training.questions.correcting import Change
from training.questions.marks import PartMark as NewMark
from training.quizzes import rules
from training.quizzes.models import PartMark, Remark, RemarkedPart, Sitting, SittingItem
from training.quizzes.queries.marking import outcome_of, part_marks

# The marks of the hand-in, each with those given since, the last of which counts.
MARKS = Prefetch("marks", PartMark.objects.order_by("pk").prefetch_related("again"))


@dataclass(frozen=True, slots=True)
class Counting:
    """What a handed-in sitting counts for: marks, exactly, and whether it is passed."""

    earned: Fraction
    passed: bool
    short: tuple[str, ...] = ()


def counts_as_passed(sitting: str = "") -> Coalesce:
    """Return whether a sitting counts as passed, for a query about it or about what names it as `sitting`."""
    last = Remark.objects.filter(sitting=OuterRef(sitting or "pk")).order_by("-number")
    return Coalesce(Subquery(last.values("passed")[:1]), f"{sitting}__passed" if sitting else "passed")


def counting(sittings: QuerySet[Sitting]) -> QuerySet[Sitting]:
    """Add to each sitting the mark that counts, so that `counted` reads it without a query."""
    last = Remark.objects.filter(sitting=OuterRef("pk")).order_by("-number")
    return sittings.annotate(
        counts_numerator=Coalesce(Subquery(last.values("earned_numerator")[:1]), "earned_numerator"),
        counts_denominator=Coalesce(Subquery(last.values("earned_denominator")[:1]), "earned_denominator"),
        counts_passed=counts_as_passed(),
        counts_short=Subquery(last.values("short")[:1]),
    )


def passed(sittings: QuerySet[Sitting]) -> QuerySet[Sitting]:
    """Keep the sittings that count as passed."""
    return counting(sittings).filter(counts_passed=True)


def counted(sitting: Sitting) -> Counting:
    """Return the mark of a handed-in sitting that counts: one query where `counting` did not load it."""
    if hasattr(sitting, "counts_passed"):
        short = sitting.short if sitting.counts_short is None else sitting.counts_short
        earned = Fraction(sitting.counts_numerator, sitting.counts_denominator)
        return Counting(earned, sitting.counts_passed, tuple(short))
    last: Any = sitting.remarks.order_by("number").last() or sitting
    return Counting(Fraction(last.earned_numerator, last.earned_denominator), last.passed, tuple(last.short))


def latest(mark: PartMark) -> PartMark | RemarkedPart:
    """Return the mark of a part that counts; `MARKS` must be loaded."""
    return max(mark.again.all(), key=lambda one: one.pk, default=mark)


def share(mark: PartMark | RemarkedPart) -> Fraction:
    """Return the share of a part that was earned."""
    return Fraction(mark.share_numerator, mark.share_denominator)


@dataclass(frozen=True, slots=True)
class Again:
    """A sitting as it counts now and as it would count: `fresh` pairs each mark of the hand-in with the new one."""

    sitting: Sitting
    was: Counting
    outcome: rules.Outcome
    fresh: tuple[tuple[PartMark, NewMark], ...]

    @property
    def turns(self) -> bool:
        """Whether the result changes."""
        return self.was.passed != self.outcome.passed


def touched(version: QuestionVersion, changes: Sequence[Change]) -> list[Again]:
    """Return every handed-in sitting that asked a version, marked again with its key put right, the oldest first.

    Six queries, however many there are. Raises correcting.Unmatched.
    """
    asked = Sitting.objects.filter(
        pk__in=SittingItem.objects.filter(question_version=version).values("sitting"), handed_in_at__isnull=False
    )
    return [_again(one, version.pk, changes) for one in loaded(asked).order_by("handed_in_at", "pk")]


def loaded(sittings: QuerySet[Sitting]) -> QuerySet[Sitting]:
    """Load sittings with everything that marking them again needs."""
    items = SittingItem.objects.select_related("question_version", "answer").defer("question_version__body")
    rows = counting(sittings).select_related("issue__paper", "person__employer")
    return rows.prefetch_related(Prefetch("items", items.order_by("position").prefetch_related(MARKS)))


def _again(sitting: Sitting, version: int, changes: Sequence[Change]) -> Again:
    new = {}
    for item in sitting.items.all():
        if item.question_version_id == version:
            given = item.answer.given if hasattr(item, "answer") else {}
            new |= {(item.pk, one.name): one for one in part_marks(item, given, changes)}
    return again(sitting, new)


def again(sitting: Sitting, new: dict[tuple[int, str], NewMark]) -> Again:
    """Return a sitting of `loaded` with new marks by item and part; the others stay as they count."""
    marked, fresh = [], []
    for item in sitting.items.all():
        shares = []
        for mark in item.marks.all():
            found = new.get((item.pk, mark.part))
            shares.append(found.share if found else share(latest(mark)))
            fresh += [(mark, found)] if found else []
        version = item.question_version
        marked.append(rules.Marked(item.position, version.topic, version.safety, tuple(shares)))
    return Again(sitting, counted(sitting), outcome_of(sitting.issue, marked), tuple(fresh))


def remarks_of(person: Person, *, since: datetime) -> list[Remark]:
    """Return how a person's papers were marked again since a moment, the newest first: one query."""
    rows = Remark.objects.filter(sitting__person=person, at__gte=since).select_related("sitting__issue")
    return list(rows.defer("sitting__issue__body").order_by("-at", "-pk"))
