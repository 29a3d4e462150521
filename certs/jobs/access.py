"""Who may see and keep jobs: supervisors of the employer, administrators for the employers they reach."""

from django.db.models import QuerySet
from django.http import Http404

from certs.jobs.models import Absence, Job
from training.people.access import Viewer, employers_seen_by, people_seen_by
from training.people.models import Employer, Person
from training.people.rules import Role

KEEPERS = (Role.SUPERVISOR, Role.ADMINISTRATOR)


def employers_planned_by(viewer: Viewer) -> QuerySet[Employer]:
    """Return the employers whose jobs the viewer keeps; 403 without the role. The body itself bonds nothing."""
    employers = employers_seen_by(viewer.require(*KEEPERS))
    return employers.filter(is_body=False) if viewer.across else employers


def people_planned_by(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose days away the viewer keeps; 403 without the role."""
    return people_seen_by(viewer.require(*KEEPERS))


def jobs_kept_by(viewer: Viewer) -> QuerySet[Job]:
    """Return the jobs the viewer keeps; 403 without the role."""
    return Job.objects.filter(employer__in=employers_planned_by(viewer))


def job_for(viewer: Viewer, pk: int) -> Job:
    """Load a job the viewer keeps; 403 without the role, 404 for a job of others."""
    job = (
        jobs_kept_by(viewer).select_related("employer", "crew").prefetch_related("wants__scheme").filter(pk=pk).first()
    )
    if job is None:
        raise Http404
    return job


def absence_for(viewer: Viewer, pk: int) -> Absence:
    """Load days away that the viewer keeps; 403 without the role, 404 for a stranger's."""
    found = Absence.objects.filter(person__in=people_planned_by(viewer), pk=pk).select_related("person").first()
    if found is None:
        raise Http404
    return found
