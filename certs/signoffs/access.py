"""Who may open what waits, a sheet, a record, an exception or a decision."""

from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.utils.module_loading import import_string
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.arrivals.rules import Problem, Sent
from certs.cards.rules import local_day
from certs.photos.models import Photo
from certs.schemes.models import SchemeIssue
from certs.schemes.queries import current_issue
from certs.schemes.rules import Act
from certs.signoffs import operations, queries
from certs.signoffs.forms import Whose, lay_out, problems_of
from certs.signoffs.models import AssessorException, ReceivedSheet, Signoff
from training.people.access import Viewer, is_their_password, people_seen_by, person_for, tried_too_often
from training.people.models import Person
from training.people.rules import Role

SEALED = gettext_lazy(
    "This practical waits for a second assessor, and that may be you. Mark it under Double marking: then you see what "
    "the first assessor marked."
)


def people_who_wait_for(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose practicals this person may list; 403 for all but trainers and administrators."""
    # An administrator who holds 'may decide' finds the decisions that wait on the same page.
    viewer.require(Role.TRAINER, Role.ADMINISTRATOR)
    return people_seen_by(viewer)


def sheet_for(
    viewer: Viewer, person: int, slug: str, *, replaces: UUID | None = None, sent: Mapping[str, Any] | None = None
) -> queries.SheetPage:
    """Load a sheet: 403 for all but trainers, 404 for people they do not see and schemes not in use.

    Whether this trainer may sign is not asked here: the page says why not, and the operation refuses. A sheet that was
    `sent` may be laid out for the issue that was in force on its day.
    """
    viewer.require(Role.TRAINER)
    candidate = person_for(viewer, person)
    issue = issue_in_use(slug)
    old = None
    if replaces is not None:
        old = queries.records().filter(pk=replaces, person=candidate, scheme_issue__scheme=issue.scheme).first()
        if old is None:
            raise Http404
        _unsealed(viewer, old)
        issue = old.scheme_issue
    elif sent is not None:
        issue = _issue_then(issue, sent)
    return queries.sheet(viewer.person, candidate, issue, replaces=old, at=viewer.at, on=viewer.on)


def _issue_then(newest: SchemeIssue, sent: Mapping[str, Any]) -> SchemeIssue:
    """Return the issue a sheet names where a later one came in only after its day, else the newest."""
    number, day = (str(sent.get(name, "")) for name in ("issue", "assessed_on"))
    if not (number.isascii() and number.isdigit() and len(number) < 6):
        return newest
    issues = {one.number: one for one in newest.scheme.issues.select_related("scheme")}
    later = [one for one in issues.values() if one.number > int(number)]
    overtaken = any(local_day(one.loaded_at, one.body["zone"]).isoformat() <= day for one in later)
    return newest if overtaken else issues.get(int(number), newest)


def sender(viewer: Viewer) -> Viewer:
    """Let trainers send and sign sheets; 403 for everyone else."""
    return viewer.require(Role.TRAINER)


def people_to_sign_for(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose sheets this trainer may sign; 403 for everyone else."""
    return people_seen_by(sender(viewer))


def reader(viewer: Viewer, pk: UUID) -> operations.Reader:
    """Return what reads a sheet that this viewer sent under a key."""

    def read(sent: Sent) -> operations.Written:
        if half := [name for name, value in sent.fields.items() if "\x00" in f"{name}{value}"]:
            # No database of ours holds this character, and no keypad writes it.
            damaged = _("Type this again: it came damaged.")
            raise operations.Unfit(Problem(name.replace("\x00", ""), "", damaged) for name in half)
        data = {name: value if isinstance(value, str) else "".join(value[-1:]) for name, value in sent.fields.items()}
        form = lay_out(data, page=_page_sent(viewer, data))
        if not form.is_valid() or form.sheet is None:
            raise operations.Unfit(problems_of(form))
        if form.sheet.key != pk:
            used = _("This sheet was used for another record. Open an empty one.")
            raise operations.Unfit([Problem("key", "", used)])
        page, assessor = form.page, viewer.person
        if form.on_paper_asked:
            assessor = Person.objects.get(pk=int(form.cleaned_data["assessor"]))
        return operations.Written(
            candidate=page.candidate,
            scheme_issue=page.issue,
            assessor=assessor,
            on_paper=form.on_paper_asked,
            sheet=form.sheet,
        )

    return read


def _page_sent(viewer: Viewer, data: Mapping[str, str]) -> queries.SheetPage:
    whose = Whose(data)
    try:
        if whose.is_valid():
            told = whose.cleaned_data
            return sheet_for(viewer, told["candidate"], told["scheme"], replaces=told["replaces"], sent=data)
    except Http404:
        pass
    unknown = _("This candidate, scheme or record is not known here. Open a sheet from the list.")
    raise operations.Unfit([Problem("", "", unknown)])


def filled_for(viewer: Viewer, pk: UUID) -> ReceivedSheet:
    """Load a filled sheet of somebody this person sees: oneself, one's own people, or everyone across; else 404."""
    found = queries.received_sheets().filter(pk=pk, candidate__in=people_seen_by(viewer)).first()
    if found is None:
        raise Http404
    return found


def own_sheet_for(viewer: Viewer, pk: UUID) -> ReceivedSheet:
    """Load a sheet to add a photo to: 403 for all but trainers, 404 for sheets that somebody else sent."""
    found = filled_for(sender(viewer), pk)
    if found.made_by_id != viewer.person.pk:
        raise Http404
    return found


def photo_for(viewer: Viewer, pk: UUID, photo: UUID) -> Photo:
    """Load a photo of a sheet for who may see the sheet, else raise 404."""
    received = filled_for(viewer, pk)
    if received.on_paper:
        # One of them is the sheet itself, with the marks on it.
        _unsealed(viewer, getattr(received, "signoff", None))
    found = queries.photos_of_sheet(received).filter(pk=photo).first()
    if found is None:
        raise Http404
    return found


def issue_in_use(slug: str) -> SchemeIssue:
    """Return the newest issue of a scheme in use, or raise 404."""
    try:
        issue = current_issue(slug)
    except SchemeIssue.DoesNotExist:
        raise Http404 from None
    if issue.scheme.retired_at is not None:
        raise Http404
    return issue


def rule_for(viewer: Viewer, slug: str) -> SchemeIssue:
    """Load the issue whose rule is shown: 403 for crew, 404 for schemes not in use."""
    viewer.require(Role.TRAINER, Role.SUPERVISOR, Role.ADMINISTRATOR)
    return issue_in_use(slug)


def record_for(viewer: Viewer, pk: UUID) -> Signoff:
    """Load a signed record of somebody this person sees: oneself, one's own people, or everyone across; else 404."""
    signoff = queries.records().filter(pk=pk, person__in=people_seen_by(viewer)).first()
    if signoff is None:
        raise Http404
    return signoff


def is_sealed(viewer: Viewer, signoff: Signoff) -> bool:
    """Say whether what the assessor marked is not shown to this viewer yet: a second marking is given without it."""
    return any(import_string(path)(signoff, viewer.person, on=viewer.on) for path in settings.MARKS_SEALED_BY)


def open_sheet_for(viewer: Viewer, pk: UUID) -> ReceivedSheet:
    """Load a filled sheet whose marks may be read: as `filled_for`, and 403 while they are kept from this viewer."""
    found = filled_for(viewer, pk)
    _unsealed(viewer, getattr(found, "signoff", None))
    return found


def _unsealed(viewer: Viewer, signoff: Signoff | None) -> None:
    if signoff is not None and is_sealed(viewer, signoff):
        raise PermissionDenied(str(SEALED))


def shows_marks(viewer: Viewer, signoff: Signoff) -> bool:
    """Say whether the marks of the paper are shown: to the candidate and the certification body, not to supervisors."""
    return viewer.across or viewer.person.pk == signoff.person_id


def decidable_record_for(viewer: Viewer, pk: UUID) -> Signoff:
    """Load a record to decide about: 404 for people not seen, 403 for those who never held 'may decide' under it.

    Also 403 while its marks are kept from this viewer, who then is not the one to decide.
    """
    signoff = record_for(viewer, pk)
    held = signoff.scheme_issue.scheme.authorities.filter(person=viewer.person, act=Act.DECIDES)
    if not held.exists():
        raise PermissionDenied(_("You hold no permission to decide under this scheme."))
    _unsealed(viewer, signoff)
    return signoff


def exception_for_approval(viewer: Viewer, pk: int) -> AssessorException:
    """Load an exception to answer: 403 for all but trainers and administrators, 404 for candidates not seen."""
    people = people_who_wait_for(viewer)
    exception = AssessorException.objects.filter(pk=pk, candidate__in=people).first()
    if exception is None:
        raise Http404
    return exception


def password_refusal(request: HttpRequest, viewer: Viewer) -> Callable[[str], str]:
    """Return what says why a password typed as a signature is refused; empty when it is the signer's."""

    def refusal(password: str) -> str:
        return _refusal(request, viewer.person, password, _("This is not your password. Type it again."))

    return refusal


def candidate_refusal(request: HttpRequest) -> Callable[[queries.ToSign, str], str]:
    """Return what says why a password typed as a candidate's confirmation is refused."""

    def refusal(row: queries.ToSign, password: str) -> str:
        wrong = _("This is not the password of %(name)s. Type it again.") % {"name": row.candidate}
        return _refusal(request, Person.objects.get(pk=row.candidate_id), password, wrong)

    return refusal


def _refusal(request: HttpRequest, person: Person, password: str, wrong: str) -> str:
    if is_their_password(request, person, password):
        return ""
    # Counted with the sign-in itself, so that no door is an easier one.
    return (
        str(_("Too many wrong passwords. Wait a quarter of an hour, then sign.")) if tried_too_often(request) else wrong
    )


def may_correct(viewer: Viewer, signoff: Signoff) -> bool:
    """Say whether to offer the correction of a record; whether it is accepted, the operation says."""
    own = viewer.person.pk == signoff.person_id
    return viewer.has(Role.TRAINER) and viewer.across and not own and not hasattr(signoff, "replaced_by")
