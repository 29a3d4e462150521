"""What a plan is made from, as it is known now."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from certs.crewing.models import Plan, PlanTurn
from certs.crewing.rules import Rules, Turn
from certs.crewing.rules.steps import clipped, mark
from certs.jobs.models import Job
from certs.jobs.queries import asked, called, hands
from certs.jobs.rules import Hand
from certs.jobs.rules import Job as Asked
from training.people.models import Employer

RULES = Rules()


@dataclass(frozen=True, slots=True)
class Inputs:
    """Jobs with their days in the span only, everybody there is for them, and the mark of it all.

    `called` has by key how each job is told in a sentence.
    """

    jobs: tuple[Asked, ...]
    hands: tuple[Hand, ...]
    mark: str
    called: Mapping[str, str]


def inputs(employer: Employer, *, first: date, last: date) -> Inputs:
    """Return what a plan of an employer's open jobs is made from, in ten queries."""
    rows = Job.objects.filter(employer=employer, closed_at=None, first_on__lte=last, last_on__gte=first)
    rows = list(rows.select_related("employer").prefetch_related("wants__scheme").order_by("first_on", "pk"))
    jobs = clipped([asked(row) for row in rows], first=first, last=last)
    people = hands(employer, first=first, last=last)
    return Inputs(jobs, people, mark(jobs, people, RULES), {str(row.pk): called(row) for row in rows})


def inputs_of(plan: Plan) -> Inputs:
    """Return what a plan would be made from now."""
    return inputs(plan.employer, first=plan.first_on, last=plan.last_on)


def turns_of(plan: Plan) -> tuple[Turn, ...]:
    """Return the turns of a plan, by day."""
    return tuple(sorted(turn_of(row) for row in plan.turns.all()))


def turn_of(row: PlanTurn) -> Turn:
    """Return a stored turn as the rules want it."""
    return Turn(row.on, str(row.job_id), row.scheme, str(row.person_id))
