"""Mailing whom a step with a complaint concerns, each in their language; the step stands without its mail too."""

from datetime import date, datetime

from django.conf import settings
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.translation import gettext as _

from certs.complaints.models import Complaint, ComplaintStep
from certs.complaints.queries import able_ones, handler_of
from certs.complaints.rules import Step
from training.mail.models import UnsentMail
from training.mail.operations import send_now, write_down
from training.people.models import Person

# Steps of which who complained hears, when they are put right too.
FOR_COMPLAINANT = {Step.TAKEN, Step.WORD, Step.CLOSED}


def tell(*, complaint: Complaint, step: ComplaintStep | None, by: Person, on: date, at: datetime) -> tuple[str, ...]:
    """Mail a step, or none for the receipt, to whom it concerns; return the names of those whom no mail reached yet.

    Call it when the step is kept; of one that was sent twice nobody hears again. Whoever complained from outside gets
    no mail of the site: who handles it writes to them. Who has no address finds everything on the page.
    """
    if at != (step.at if step else complaint.received_at):
        return ()
    hears = _hearers(complaint, step, on=on)
    with transaction.atomic():
        mails = [_mail(complaint, step, one, by=by, at=at) for one in hears if one.email and one.is_active]
    waits = {mail.person_id for mail in send_now(mails)}
    return tuple(one.name for one in hears if one.pk != by.pk and (one.pk in waits or not one.email))


def _hearers(complaint: Complaint, step: ComplaintStep | None, *, on: date) -> list[Person]:
    """Return whom a step concerns; of the receipt hear who complained and everyone who may take it up."""
    complainant = [complaint.complainant] if complaint.complainant else []
    if step is None:
        return [*complainant, *(one for one in able_ones(complaint, on=on) if one.pk != complaint.entered_by_id)]
    what = step.corrects or step
    if what.step in FOR_COMPLAINANT:
        return complainant
    if what.step == Step.ASKED and what.asked:
        return [what.asked]
    handler = handler_of(complaint) if step.step == Step.SIDE else None
    return [handler] if handler else []


def _mail(complaint: Complaint, step: ComplaintStep | None, reader: Person, *, by: Person, at: datetime) -> UnsentMail:
    with translation.override(reader.reads):
        context = {
            "reader": reader,
            "complaint": complaint,
            "own": reader.pk == complaint.complainant_id,
            "news": "received" if step is None else step.step,
            "step": step,
            # What the other side said is read on the page, by who handles it.
            "text": step.text if step and step.step != Step.SIDE else "",
            "by": by,
            "site": settings.SITE_URL,
        }
        subject = _("Complaint %(number)s") % {"number": complaint.number}
        body = render_to_string("certs/complaints/mail.txt", context)
        return write_down(person=reader.pk, subject=subject, body=body.strip() + "\n", at=at)
