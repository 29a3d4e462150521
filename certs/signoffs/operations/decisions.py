"""Deciding about a card."""

from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from certs.signoffs import queries
from certs.signoffs.models import Decision, Signoff
from certs.signoffs.operations.locks import locked
from certs.signoffs.operations.refusals import MayNotDecide
from certs.signoffs.operations.signing import issue_card
from training.ledger.operations import write
from training.people.models import Person


@transaction.atomic
def decide(*, signoff: Signoff, by: Person, granted: bool, reasons: str, at: datetime, on: date) -> Decision:
    """Grant or refuse the card a passed practical waits for; granting issues it. Sent twice it is one decision.

    Raises MayNotDecide, cards.CardRefused.
    """
    locked(signoff.person)
    signoff, by = queries.records().get(pk=signoff.pk), Person.objects.get(pk=by.pk)
    made = getattr(signoff, "decision", None)
    if made is not None and (made.by_id, made.granted) == (by.pk, granted):
        return made
    refused = queries.decision_sentences(by, signoff, queries.ties(by, on=on), granting=granted, on=on)
    if not reasons.strip():
        refused = (*refused, _("Write the reasons: they stay on the record."))
    if refused:
        raise MayNotDecide(refused)
    decision = Decision.objects.create(signoff=signoff, by=by, at=at, granted=granted, reasons=reasons)
    about = {"signoff": str(signoff.pk), "person": signoff.person_id, "granted": granted}
    write(by=by.pk, act="practical decided", about=about, at=at)
    if granted:
        issue_card(signoff, by=by, at=at)
    return decision
