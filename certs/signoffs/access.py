"""Who may open what waits, a sheet, a record, an exception or a decision."""

from collections.abc import Callable
from uuid import UUID

from allauth.core import ratelimit
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.utils.translation import gettext as _

from certs.schemes.models import SchemeIssue
from certs.schemes.queries import current_issue
from certs.schemes.rules import Act
from certs.signoffs import queries
from certs.signoffs.models import AssessorException, Signoff
from training.people.access import Viewer, people_seen_by, person_for
from training.people.models import Person
from training.people.rules import Role


def people_who_wait_for(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose practicals this person may list; 403 for all but trainers and administrators."""
    # An administrator who holds 'may decide' finds the decisions that wait on the same page.
    viewer.require(Role.TRAINER, Role.ADMINISTRATOR)
    return people_seen_by(viewer)


def sheet_for(viewer: Viewer, person: int, slug: str, *, replaces: UUID | None = None) -> queries.SheetPage:
    """Load a sheet: 403 for all but trainers, 404 for people they do not see and schemes not in use.

    Whether this trainer may sign is not asked here: the page says why not, and the operation refuses.
    """
    viewer.require(Role.TRAINER)
    candidate = person_for(viewer, person)
    issue = issue_in_use(slug)
    old = None
    if replaces is not None:
        old = queries.records().filter(pk=replaces, person=candidate, scheme_issue__scheme=issue.scheme).first()
        if old is None:
            raise Http404
    return queries.sheet(viewer.person, candidate, old.scheme_issue if old else issue, replaces=old, on=viewer.on)


def issue_in_use(slug: str) -> SchemeIssue:
    """Return the newest issue of a scheme in use, or raise 404."""
    try:
        issue = current_issue(slug)
    except SchemeIssue.DoesNotExist:
        raise Http404 from None
    if issue.scheme.retired_at is not None:
        raise Http404
    return issue


def record_for(viewer: Viewer, pk: UUID) -> Signoff:
    """Load a signed record of somebody this person sees: oneself, one's own people, or everyone across; else 404."""
    signoff = queries.records().filter(pk=pk, person__in=people_seen_by(viewer)).first()
    if signoff is None:
        raise Http404
    return signoff


def shows_marks(viewer: Viewer, signoff: Signoff) -> bool:
    """Say whether the marks of the paper are shown: to the candidate and the certification body, not to supervisors."""
    return viewer.across or viewer.person.pk == signoff.person_id


def decidable_record_for(viewer: Viewer, pk: UUID) -> Signoff:
    """Load a record to decide about: 404 for people not seen, 403 for those who never held 'may decide' under it."""
    signoff = record_for(viewer, pk)
    held = signoff.scheme_issue.scheme.authorities.filter(person=viewer.person, act=Act.DECIDES)
    if not held.exists():
        raise PermissionDenied(_("You hold no permission to decide under this scheme."))
    return signoff


def exception_for_approval(viewer: Viewer, pk: int) -> AssessorException:
    """Load an exception to approve: 403 for all but trainers and administrators, 404 for candidates not seen."""
    people = people_who_wait_for(viewer)
    exception = AssessorException.objects.filter(pk=pk, candidate__in=people).first()
    if exception is None:
        raise Http404
    return exception


def password_refusal(request: HttpRequest, viewer: Viewer) -> Callable[[str], str]:
    """Return what says why a password typed as a signature is refused; empty when it is the signer's."""

    def refusal(password: str) -> str:
        # Counted with the other doors that ask a signed-in person for the password again.
        if not ratelimit.consume(request, action="reauthenticate", user=viewer.person):
            return _("Too many passwords in a short time. Wait a minute, then sign.")
        return "" if viewer.person.check_password(password) else _("This is not your password. Type it again.")

    return refusal


def may_correct(viewer: Viewer, signoff: Signoff) -> bool:
    """Say whether to offer the correction of a record; whether it is accepted, the operation says."""
    own = viewer.person.pk == signoff.person_id
    return viewer.has(Role.TRAINER) and viewer.across and not own and not hasattr(signoff, "replaced_by")
