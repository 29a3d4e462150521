"""Questions in use, what may be seen of one, and what is told about it once it is answered."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from django.db.models import Exists, OuterRef, QuerySet

from training.bank import rules
from training.bank.models import Correction, QuestionVersion
from training.content.questions import read_question
from training.questions.book import calculations
from training.questions.correcting import Change, What, corrected
from training.questions.draw import draw
from training.questions.item import Item


@dataclass(frozen=True, slots=True)
class SheetQuestion:
    """A question as it may be seen, and what was last kept for it."""

    position: int
    shown: Mapping[str, Any]
    given: Mapping[str, Any]


def newest(keys: Collection[str]) -> dict[str, QuestionVersion]:
    """Return the newest version of each question in use, by key, in one query; one taken out of use is left out."""
    versions = QuestionVersion.objects.filter(question__key__in=keys, question__retired_at__isnull=True)
    rows = told_dropped(versions).select_related("question").order_by("version")
    return {key: one for key, one in {one.question.key: one for one in rows}.items() if not one.dropped}


def told_dropped(versions: QuerySet[QuestionVersion]) -> QuerySet[QuestionVersion]:
    """Add to each version whether it was taken out, because nothing on it was right: `dropped`."""
    out = Correction.objects.filter(question_version=OuterRef("pk"), applied=True, change__what=What.DROP)
    return versions.annotate(dropped=Exists(out))


def drawn(version: QuestionVersion, *, seed: str, known: Sequence[Change] | None = None) -> Item:
    """Draw a question with its key as it stands now; the same seed gives the same question for ever.

    `known` says how the key was put right, where that is loaded or asked when it is marked; else it is one query.
    """
    # Draws were tried when the question was loaded; trying them again would cost the reader seconds.
    item = draw(read_question(version.body, book=calculations(), seeds=0), seed)
    return corrected(item, changes([version.pk]).get(version.pk, ()) if known is None else known)


def changes(versions: Collection[int]) -> dict[int, tuple[Change, ...]]:
    """Return how the keys of these versions were put right since, the oldest first; one query."""
    applied = Correction.objects.filter(question_version__in=versions, applied=True).order_by("decided_at", "pk")
    found: dict[int, tuple[Change, ...]] = {}
    for version, change in applied.values_list("question_version_id", "change"):
        found[version] = (*found.get(version, ()), Change.from_json(change))
    return found


class Marked(Protocol):
    """A marked part: how the answer was read, its flags, and what it shows."""

    read: str
    says: str
    flags: Any


@dataclass(frozen=True, slots=True)
class PartTold:
    """A part that was answered: as read, right, the mistake in words, and how it is worked out."""

    prompt: str
    read: str
    right: tuple[str, ...]
    in_order: bool
    says: str
    working: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Told:
    """A question that was answered, with its working."""

    prompt: str
    givens: tuple[tuple[str, str], ...]
    parts: tuple[PartTold, ...]


def part_told(shown: Mapping[str, Any], key: Mapping[str, Any], mark: Marked) -> PartTold:
    """Return a part with what was answered, what is right and the working."""
    return PartTold(
        prompt=shown["prompt"],
        read=mark.read,
        right=rules.right_answer(shown, key),
        in_order=shown["answer"] == "order",
        says="" if "blank" in mark.flags else mark.says,
        working=tuple(key["working"]),
        source=key["source"],
    )


def told(shown: Mapping[str, Any], sealed: Mapping[str, Any], marks: Sequence[Marked]) -> Told:
    """Return a question with what was answered, what is right and the working."""
    sides = zip(shown["parts"], sealed["parts"], marks, strict=True)
    return Told(shown["prompt"], rules.givens(shown), tuple(part_told(part, key, mark) for part, key, mark in sides))
