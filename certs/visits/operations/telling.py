"""Mailing those whom an act on a visit concerns, each in their language; the act stands, whatever becomes of a mail."""

from collections.abc import Callable, Mapping
from datetime import date
from functools import partial

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from certs.visits.models import Visit
from certs.visits.queries import shown
from certs.visits.rules import News, hearers
from training.mail.operations import Post, deliver
from training.people.models import Person

SUBJECTS: Mapping[News, str | Promise] = {
    News.ASKED: _("You are asked to come"),
    News.ACCEPTED: _("A trainer comes"),
    News.DECLINED: _("The trainer cannot come"),
    News.CALLED_OFF: _("A visit is called off"),
}


def tell(*, visit: Visit, news: News, agreed: bool, by: Person, on: date) -> tuple[str, ...]:
    """Mail what `by` did to those whom it concerns; return the names of those whom no mail reached, if any.

    Call it when the act is kept. `agreed` says whether the trainer had accepted before. Whoever has no address is
    among those not reached: somebody has to tell them.
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
    reached: list[int] = []
    try:
        # One connection for all: a server that is down costs the page one wait, and not one for each reader.
        with get_connection() as connection:
            news_to = partial(_message, visit, news, by=by, on=on, connection=connection)
            deliver(_post(one, news_to, reached) for one in hears if one.email)
    except OSError:
        pass
    return tuple(one.name for one in hears if one.pk not in reached)


def _post(reader: Person, news_to: Callable[[Person], EmailMessage], reached: list[int]) -> Post:
    # Nothing is written down before: the act itself is, and nobody but its page asks for the mail.
    return Post(
        to=reader.username,
        write=lambda: True,
        message=lambda: news_to(reader),
        sent=lambda: reached.append(reader.pk),
        failed=lambda: None,
    )


def _message(
    visit: Visit, news: News, reader: Person, *, by: Person, on: date, connection: BaseEmailBackend
) -> EmailMessage:
    arranges = reader.pk in {visit.trainer_id, visit.asked_by_id}
    with translation.override(reader.reads):
        (told,) = shown(Visit.objects.filter(pk=visit.pk), on=on)
        context = {"reader": reader, "news": news.value, "by": by, "told": told, "arranges": arranges}
        # Somebody who only comes to show something reads of themself alone.
        context["lines"] = [line for line in told.lines if arranges or line.pk == reader.pk]
        body = render_to_string("certs/visits/mail.txt", context | {"site": settings.SITE_URL})
        return EmailMessage(str(SUBJECTS[news]), body.strip() + "\n", to=[reader.email], connection=connection)
