"""The uses of questions on handed-in papers, as the pages count them, and the mistakes made in them."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from training.analysis import rules
from training.analysis.queries.words import percent
from training.bank.models import QuestionVersion
from training.calc.catalogue import CATALOGUE
from training.questions.correcting import Change, What, dropped
from training.quizzes.models import PartMark, RemarkedPart, Sitting
from training.quizzes.queries import counted, counting

GAP = re.compile(r"\{[^{}]*\}")


@dataclass(slots=True)
class Use:
    """One question of one handed-in paper, by the marks that count; `total` is what that paper earned of `out_of`."""

    item: int
    sitting: UUID
    version: int
    total: Fraction
    out_of: int
    parts: list[str] = field(default_factory=list)
    shares: list[Fraction] = field(default_factory=list)
    mistakes: list[str] = field(default_factory=list)
    read: str = ""

    @property
    def share(self) -> Fraction:
        """Return the share earned; the parts of a question weigh the same."""
        return sum(self.shares, Fraction(0)) / len(self.shares)

    @property
    def answered(self) -> rules.Answered:
        """Return the use as the rules want it."""
        others = self.out_of - 1
        # A paper of one question has no rest; every rest is then 0, and nothing is said of it.
        rest = float((self.total - self.share) / max(others, 1))
        return rules.Answered(float(self.share), rest, self.read, others)


@dataclass(frozen=True, slots=True)
class Mistake:
    """A recognised mistake in words, and how often it was made."""

    words: str
    count: int
    share: str


def handed_in(paper: int) -> list[Sitting]:
    """Return the handed-in sittings of a paper with the mark that counts, the oldest first: one query."""
    rows = Sitting.objects.filter(paper_id=paper, handed_in_at__isnull=False)
    return list(counting(rows).order_by("handed_in_at", "pk"))


def counting_marks() -> QuerySet[PartMark]:
    """Return the marks of handed-in papers with the share that counts, `over` and `under` the line."""
    last = RemarkedPart.objects.filter(mark=OuterRef("pk")).order_by("-pk")
    return PartMark.objects.filter(item__sitting__handed_in_at__isnull=False).annotate(
        over=Coalesce(Subquery(last.values("share_numerator")[:1]), "share_numerator"),
        under=Coalesce(Subquery(last.values("share_denominator")[:1]), "share_denominator"),
    )


def uses(sittings: Sequence[Sitting], paper: int, **question: object) -> list[Use]:
    """Return the questions of these sittings of a paper, or of one question: the one query that grows."""
    marks = counting_marks().filter(item__sitting__paper_id=paper, **question)
    rows = marks.order_by("item_id", "pk").values_list(
        "item_id", "item__sitting_id", "item__question_version_id", "over", "under", "part", "misconception", "read"
    )
    totals = {one.pk: (counted(one).earned, one.out_of) for one in sittings}
    found: dict[int, Use] = {}
    for item, sitting, version, over, under, part, misconception, read in rows:
        use = found.setdefault(item, Use(item, sitting, version, *totals[sitting]))
        use.parts.append(part)
        use.shares.append(Fraction(over, under))
        use.mistakes += [misconception] if misconception else []
        use.read = read
    return list(found.values())


def bare(text: str) -> str:
    """Return a text of a question with its gaps as dots."""
    return GAP.sub("…", text)


def options_of(version: QuestionVersion) -> list[Mapping[str, Any]]:
    """Return the options of a question with one right one, none of another; texts with gaps differ by paper."""
    options = version.body.get("option", []) if version.kind == "one" else []
    return [] if any("{" in option["text"] for option in options) else options


def choices_of(version: QuestionVersion, changes: Sequence[Change]) -> rules.Choices | None:
    """Return the options with what is right since the key was last put right; None where they cannot be counted."""
    options = options_of(version)
    right = [option["text"] for option in options if option.get("right")]
    for change in changes:
        right = list(change.lines) if change.what is What.RIGHT else right
    return rules.Choices(tuple(option["text"] for option in options), right[0]) if len(right) == 1 else None


def behaviour(version: QuestionVersion, found: Iterable[Use], changes: Sequence[Change]) -> rules.Behaviour:
    """Return how a version of a question does over its uses, at least one.

    A question that was taken out gives everyone its mark, so nothing about it is asked.
    """
    answered = [use.answered for use in found]
    how = rules.behaviour(answered, safety=version.safety, choices=choices_of(version, changes))
    return replace(how, options=None, raised=()) if dropped(changes) else how


def mistakes(version: QuestionVersion, found: Sequence[Use]) -> tuple[Mistake, ...]:
    """Return the mistakes recognised in the answers, the commonest first."""
    says = {option["text"]: option.get("says", "") for option in options_of(version) if not option.get("right")}
    counts = Counter(CATALOGUE[key].says if key in CATALOGUE else key for use in found for key in set(use.mistakes))
    counts.update(f"“{use.read}”: {says[use.read]}" for use in found if use.read in says)
    ranked = sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(Mistake(text, count, percent(count / len(found))) for text, count in ranked)
