"""Mailing those whom an act on a visit concerns, each in their language; the act stands, whatever becomes of a mail."""

from collections.abc import Mapping
from datetime import date, datetime

from django.conf import settings
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from certs.visits.models import Visit
from certs.visits.queries import shown
from certs.visits.rules import News, hearers
from training.mail.models import UnsentMail
from training.mail.operations import send_now, write_down
from training.people.models import Person

SUBJECTS: Mapping[News, str | Promise] = {
    News.ASKED: _("You are asked to come"),
    News.ACCEPTED: _("A trainer comes"),
    News.DECLINED: _("The trainer cannot come"),
    News.CALLED_OFF: _("A visit is called off"),
}


def tell(*, visit: Visit, news: News, agreed: bool, by: Person, on: date, at: datetime) -> tuple[str, ...]:
    """Mail what `by` did to those whom it concerns; return the names of those whom no mail has reached yet, if any.

    Call it when the act is kept. `agreed` says whether the trainer had accepted before. Whoever has no address is
    among those not reached: somebody has to tell them. What did not leave is tried again.
    """
    keys = hearers(
        news,
        trainer=visit.trainer_id,
        asked_by=visit.asked_by_id,
        people=sorted(set(visit.steps.values_list("person", flat=True))),
        agreed=agreed,
        by=by.pk,
    )
    people = Person.objects.in_bulk(keys)
    hears = [people[key] for key in keys if people[key].is_active]
    with transaction.atomic():
        mails = [_written(visit, news, one, by=by, on=on, at=at) for one in hears if one.email]
    waits = {mail.person_id for mail in send_now(mails)}
    return tuple(one.name for one in hears if one.pk in waits or not one.email)


def _written(visit: Visit, news: News, reader: Person, *, by: Person, on: date, at: datetime) -> UnsentMail:
    arranges = reader.pk in {visit.trainer_id, visit.asked_by_id}
    with translation.override(reader.reads):
        (told,) = shown(Visit.objects.filter(pk=visit.pk), on=on)
        context = {"reader": reader, "news": news.value, "by": by, "told": told, "arranges": arranges}
        # Somebody who only comes to show something reads of themself alone.
        context["lines"] = [line for line in told.lines if arranges or line.pk == reader.pk]
        body = render_to_string("certs/visits/mail.txt", context | {"site": settings.SITE_URL})
        return write_down(person=reader.pk, subject=str(SUBJECTS[news]), body=body.strip() + "\n", at=at)
