"""Whom accepted plans place at which job on which day, for the check of one job."""

from datetime import date

from django.db.models import F
from django.utils.translation import gettext as _

from certs.crewing.models import PlanTurn
from certs.crewing.rules import COVER
from certs.jobs.rules import AcceptedPlan, Placed, Seat
from training.people.models import Employer


def placed(employer: Employer, first: date, last: date) -> tuple[Placed, ...]:
    """Return whom accepted plans of an employer send to open jobs on these days: one query.

    A turn on a day that is no longer one of its job's places nobody. Whoever has moved to another employer is told
    without a name: they are no longer this employer's to know of.
    """
    turns = PlanTurn.objects.filter(plan__employer=employer, plan__accepted_at__isnull=False, job__closed_at=None)
    turns = turns.filter(on__range=(first, last), job__first_on__lte=F("on"), job__last_on__gte=F("on"))
    rows = turns.select_related("job", "person", "plan__accepted_by")
    return tuple(_placed(row) for row in rows.order_by("on", "job", "scheme", "person__name", "person"))


def _placed(turn: PlanTurn) -> Placed:
    plan, job, person = turn.plan, turn.job, turn.person
    seat = Seat(None if turn.scheme == COVER else turn.scheme)
    accepted = AcceptedPlan(str(plan.pk), plan.accepted_by.name, plan.accepted_at)
    name = person.name if person.employer_id == plan.employer_id else _("somebody who has left")
    return Placed(turn.on, str(job.pk), job.reference, seat, str(person.pk), name, accepted)
