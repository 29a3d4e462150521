"""What waits: appeals and corrections, the oldest first, and what was decided, the newest first."""

from dataclasses import dataclass

from django.db.models import Q

from training.bank.models import Correction
from training.people.models import Person
from training.reviews.models import Appeal
from training.reviews.queries import appeals, corrections


@dataclass(frozen=True, slots=True)
class Index:
    """The lists of those who correct keys and answer appeals."""

    waiting: list[appeals.AppealRow]
    answered: list[appeals.AppealRow]
    proposed: list[corrections.CorrectionRow]
    decided: list[corrections.CorrectionRow]


def index() -> Index:
    """Return the page of what waits: four queries."""
    return Index(
        waiting=appeals.index(answered=False),
        answered=appeals.index(answered=True),
        proposed=corrections.index(waits=True),
        decided=corrections.index(waits=False),
    )


@dataclass(frozen=True, slots=True)
class Waiting:
    """How many appeals nobody has taken or this person owns, and how many corrections others proposed."""

    appeals: int
    corrections: int

    @property
    def total(self) -> int:
        """How many there are."""
        return self.appeals + self.corrections


def waiting(person: Person) -> Waiting:
    """Count what a person who corrects keys and answers appeals finds waiting: two queries."""
    mine = Appeal.objects.filter(answered_at__isnull=True).filter(Q(owner__isnull=True) | Q(owner=person))
    proposed = Correction.objects.filter(decided_at__isnull=True).exclude(proposed_by=person)
    return Waiting(mine.exclude(candidate=person).count(), proposed.count())
