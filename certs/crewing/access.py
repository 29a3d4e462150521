"""Who makes and accepts plans: those who keep the jobs."""

from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404

from certs.crewing.models import Plan
from certs.jobs.access import employers_planned_by
from training.people.access import Viewer

__all__ = ["employers_planned_by", "plan_for", "plans_kept_by"]


def plans_kept_by(viewer: Viewer) -> QuerySet[Plan]:
    """Return the plans of the employers whose jobs the viewer keeps; 403 without the role."""
    return Plan.objects.filter(employer__in=employers_planned_by(viewer))


def plan_for(viewer: Viewer, pk: UUID) -> Plan:
    """Load a plan the viewer keeps; 403 without the role, 404 for a plan of others."""
    plan = plans_kept_by(viewer).select_related("employer", "by", "accepted_by").filter(pk=pk).first()
    if plan is None:
        raise Http404
    return plan
