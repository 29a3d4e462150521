"""Who may see a complaint, and who may do what with it: a stranger is not told that there is one."""

from collections.abc import Callable
from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.utils.translation import gettext as _

from certs.cards.models import Card
from certs.cards.queries import card_numbered
from certs.checking.access import may_ask, note_unknown
from certs.complaints import queries
from certs.complaints.forms import TooOften
from certs.complaints.models import REFUSAL_WORDS
from certs.complaints.rules import Eyes, Refusal, Step
from training.people.access import Viewer
from training.people.rules import Role

# Taking up has a button of its own.
BY_FORM = frozenset(Step) - {Step.TAKEN}


def writer_for_outside(viewer: Viewer) -> Viewer:
    """Return who may write a complaint down for somebody outside; 403 for all but administrators of the body."""
    viewer.require(Role.ADMINISTRATOR)
    if not viewer.across:
        raise PermissionDenied(_("Complaints are handled by administrators of the certification body."))
    return viewer


def page_for(viewer: Viewer, pk: int) -> queries.Page:
    """Load a complaint as the viewer sees it, or raise 404: what is not theirs is not even confirmed to be there."""
    complaint = queries.complaints().filter(pk=pk).first()
    known = queries.known_of(viewer.person, on=viewer.on)
    page = queries.page(complaint, known, on=viewer.on) if complaint is not None else None
    if page is None:
        raise Http404
    return page


def page_to_take(viewer: Viewer, pk: int) -> queries.Page:
    """Load a complaint to take up: 404 as above, 403 for those who see it but handle none, or had a part in it."""
    page = page_for(viewer, pk)
    if not page.handles:
        raise PermissionDenied(" ".join(page.row.why_not) or _("Your role does not include this page."))
    return page


def page_for_step(viewer: Viewer, pk: int, name: str) -> tuple[queries.Page, Step]:
    """Load a complaint to do a step with: 404 as above and for what is no step, 403 for who may not do it.

    The side is given by who is asked for it, everything else is done by who handles the complaint.
    """
    page = page_for(viewer, pk)
    if name not in BY_FORM:
        raise Http404
    step = Step(name)
    if step is Step.SIDE:
        if not page.may_answer:
            raise PermissionDenied(str(REFUSAL_WORDS[Refusal.NOT_ASKED]))
    elif page.eyes is not Eyes.HANDLER and step not in page.steps:
        raise PermissionDenied(" ".join(page.row.why_not) or _("Only who handles this complaint does that."))
    return page, step


def card_finder(request: HttpRequest, *, at: datetime) -> Callable[[str], Card | None]:
    """Return what finds a card by its number, counted as at the check of cards: numbers are not found by trying.

    What it returns raises forms.TooOften.
    """

    def find(number: str) -> Card | None:
        if not may_ask(request, at=at):
            raise TooOften
        found = card_numbered(number)
        if found is None:
            note_unknown(request, at=at)
        return found

    return find
