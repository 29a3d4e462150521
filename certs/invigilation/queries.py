"""Who waits at the door of a paper, and who may not let them in."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Max, QuerySet

from certs.schemes.models import TrainingAct
from certs.signoffs.rules import too_near
from training.people.models import Person
from training.quizzes import queries as quizzes
from training.quizzes.models import Admission, Retraining
from training.quizzes.rules import admitted


@dataclass(frozen=True, slots=True)
class Waiter:
    """A candidate who agreed to the rules of a paper: since when, and whether this trainer trained them lately.

    `admitted_by` is who confirmed them, as long as that holds.
    """

    pk: int
    name: str
    employer: str
    paper: str
    since: str
    trained: bool
    admitted_by: str


def trained_by(trainer: Person, candidates: Iterable[int], *, on: date) -> frozenset[int]:
    """Return which of these people a trainer trained within 24 months of a day, for a card or again: two queries.

    The span is that of assessors (ISO/IEC 17024 asks it of examiners; from memory).
    """
    ids = list(candidates)
    acts = TrainingAct.objects.filter(trainer=trainer, candidate__in=ids).values_list("candidate")
    again = Retraining.objects.filter(said_by=trainer, person__in=ids).values_list("person")
    last = [*acts.annotate(Max("ended_on")).order_by(), *again.annotate(Max("ended_on")).order_by()]
    return frozenset(person for person, day in last if too_near(day, on=on))


def waiting(trainer: Person, people: QuerySet[Person], *, on: date, at: datetime) -> tuple[Waiter, ...]:
    """Return the candidates of invigilated papers who wait, who came first: five queries, one where nobody does."""
    found = [one for one in quizzes.waiting(people) if one.person_id != trainer.pk]
    if not found:
        return ()
    titles, invigilated = quizzes.titles(), quizzes.invigilated()
    trained = trained_by(trainer, {one.person_id for one in found}, on=on)
    return tuple(
        Waiter(
            pk=one.pk,
            name=one.person.name,
            employer=one.person.employer.name,
            paper=titles[one.paper_id],
            since=quizzes.clock(one.agreed_at, one.person),
            trained=one.person_id in trained,
            admitted_by=one.invigilator.name if one.invigilator and admitted(one.admitted_at, at=at) else "",
        )
        for one in found
        if one.paper_id in invigilated
    )


def to_admit(trainer: Person, people: QuerySet[Person], *, on: date, at: datetime) -> int:
    """Count the candidates who wait and whom this trainer may let in."""
    return sum(not one.trained and not one.admitted_by for one in waiting(trainer, people, on=on, at=at))


def own(candidate: Person, slug: str) -> Admission | None:
    """Return a candidate's own admission to a paper that is not used yet, or none."""
    return candidate.admissions.filter(paper__slug=slug, sitting__isnull=True).select_related("paper").first()
