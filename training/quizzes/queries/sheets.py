"""The sheet of an open sitting: what may be seen before hand-in, and nothing else."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from training.bank.queries import SheetQuestion
from training.quizzes.models import Sitting
from training.quizzes.queries.papers import clock


@dataclass(frozen=True, slots=True)
class Sheet:
    """An open sitting: the whole paper on one page."""

    id: UUID
    title: str
    due: str
    now: str
    zone: str
    questions: tuple[SheetQuestion, ...]


def sheet(sitting: Sitting, *, at: datetime) -> Sheet:
    """Return the sheet of an open sitting: one query, which leaves the sealed side in the database."""
    person = sitting.person
    rows = sitting.items.order_by("position").values_list("position", "shown", "answer__given")
    questions = tuple(SheetQuestion(position, shown, given or {}) for position, shown, given in rows)
    return Sheet(
        id=sitting.pk,
        title=sitting.issue.title,
        due=clock(sitting.due_at, person),
        now=clock(at, person),
        zone=person.employer.zone,
        questions=questions,
    )
