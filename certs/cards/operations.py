"""Writing cards: issue and renewal, confirmation of work, measures, signed codes."""

import hashlib
import secrets
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards import rules
from certs.cards.models import KEPT, Card, CardKey, Confirmation, Measure, Signature
from certs.cards.queries import CardFace, code_url, signing_key
from certs.cards.rules import Cycle, Ground, Route, Standing, Step
from certs.schemes.models import SchemeIssue
from certs.schemes.queries import spec
from training.content.schemes import SchemeSpec, Unconfirmed
from training.ledger.operations import write
from training.people.models import Employer, Person
from training.refreshers.operations import count_work

# What a card keeps of its scheme under the same name, so that a later issue leaves it as it was.
TERMS = ("scope", "limits", "zone", "confirm_months", "unconfirmed", "renew_months", "grace_months")

# What a card keeps that stands in for another: all but its number, its first day and who issued it when.
STANDS = (
    *("person_id", "scheme_id", "scheme_issue_id", "evidence_id", "holder_name", "issuer_name"),
    *("anchor", "months", "held_since", "last_day", *TERMS),
)


class CardRefused(ValueError):
    """The rules do not allow this card; the message is a sentence for the person who asked."""


class ConfirmationRefused(ValueError):
    """The rules do not allow this confirmation; the message is a sentence for the supervisor."""


class StandInRefused(ValueError):
    """The rules do not allow another card in place of this one; the message is a sentence for the administrator."""


class MeasureRefused(ValueError):
    """The rules do not allow this measure; the message is a sentence for the administrator."""


@transaction.atomic
def issue(
    *, person: Person, scheme_issue: SchemeIssue, evidence_id: UUID, passed_on: date, issued_by: Person, at: datetime
) -> Card:
    """Issue the card a signed practical has earned, closing the one before; the same evidence gives the same card.

    Inside the renewal window and the grace the anniversary is kept. Raises CardRefused.
    """
    made = Card.objects.filter(evidence_id=evidence_id, ground=Ground.PRACTICAL).first()
    if made is not None:
        return made
    wanted = spec(scheme_issue)
    on = rules.local_day(at, wanted.zone)
    held = Card.objects.select_for_update().filter(person=person, scheme_id=scheme_issue.scheme_id)
    before = held.filter(closed_at__isnull=True).first()
    days = _cycle(wanted, before, passed_on, on)
    confirm_by = rules.add_months(passed_on, wanted.confirm_months)
    _check_issue(person, issued_by, before, days, on, confirm_by=confirm_by)
    if before is not None:
        _take(before, Step.REPLACED, by=issued_by, reason=_("A new card was issued."), on=on, at=at)
    body = Employer.objects.filter(is_body=True).first() or issued_by.employer
    card = _created(
        number=_new_number(),
        person=person,
        scheme_id=scheme_issue.scheme_id,
        scheme_issue=scheme_issue,
        evidence_id=evidence_id,
        ground=Ground.PRACTICAL,
        held_since=days.valid_from,
        holder_name=person.name,
        issuer_name=body.name,
        issued_at=at,
        issued_by=issued_by,
        confirm_by=confirm_by,
        **asdict(days),
        **{name: getattr(wanted, name) for name in TERMS},
    )
    write(by=issued_by.pk, act="card issued", about={"card": card.pk, "evidence": str(evidence_id)}, at=at)
    return card


@transaction.atomic
def confirm(*, card: Card, by: Person, shots: int, evidence: str, doubts: bool, on: date, at: datetime) -> Confirmation:
    """Record that the holder has been doing the work; a doubt suspends the card at once. Raises ConfirmationRefused.

    The same sent twice on one day is one: buttons are pressed again where the signal is weak. A doubt always counts.
    `on` is the day of entry in the card's zone: nothing is back-dated.
    """
    card = Card.objects.select_for_update().get(pk=card.pk)
    typed = {"by": by, "on": on, "shots": shots, "evidence": evidence, "doubts": doubts}
    if not doubts and (twice := card.confirmations.filter(**typed).first()):
        return twice
    facts = card.facts()
    state = rules.standing(facts, on=on)
    due = rules.confirm_by(facts, on=on)
    _check_confirmation(card, by, state.standing, on, at, doubts=doubts, late=on > due)
    made = Confirmation.objects.create(
        card=card,
        entered_on=rules.local_day(at, card.zone),
        entered_at=at,
        due_on=due,
        next_due_on=due if doubts else max(due, rules.add_months(on, card.confirm_months)),
        **typed,
    )
    write(by=by.pk, act="work confirmed", about={"card": card.pk, "confirmation": made.pk, "doubts": doubts}, at=at)
    if not doubts:
        _keep(card)
        count_work(person=card.person, topics=card.scheme_issue.body["modules"], at=at)
    if doubts and Step.SUSPENDED in rules.allowed_steps(state.standing):
        reason = _("Doubt about the holder's skill at the confirmation of work: %(evidence)s")
        _take(card, Step.SUSPENDED, by=by, reason=reason % {"evidence": evidence}, on=on, at=at)
    return made


@transaction.atomic
def measure(*, card: Card, step: Step, by: Person, reason: str, on: date, at: datetime) -> Measure:
    """Suspend, reinstate or withdraw a card, with a reason. Raises MeasureRefused.

    `on` is the day of entry in the card's zone, so that what stood on a past day never changes.
    """
    card = Card.objects.select_for_update().get(pk=card.pk)
    if by.pk == card.person_id:
        raise MeasureRefused(_("Nobody decides about their own card: ask another administrator."))
    if on != rules.local_day(at, card.zone):
        raise MeasureRefused(_("A measure takes effect on the day it is entered."))
    if step not in rules.allowed_steps(rules.standing(card.facts(), on=on).standing):
        raise MeasureRefused(_("As this card stands, that cannot be done. Read its history, then choose again."))
    return _take(card, step, by=by, reason=reason, on=on, at=at)


@transaction.atomic
def note_codes(*, shown: Iterable[CardFace], at: datetime) -> None:
    """Log the codes that are about to be printed, each once. Raises queries.KeyUnavailable.

    A card whose code cannot be made is not printed either, so there is nothing to log.
    """
    for one in shown:
        _key, row = signing_key(on=one.asked_on)
        with suppress(ValueError):
            log_signature(text=code_url(one).partition("#")[2], key=row, card_id=one.card_id, at=at)


def log_signature(*, text: str, key: CardKey, card_id: int | None, at: datetime) -> None:
    """Note what a key has signed; a card printed again is the same signature. Of a file its proof value is the text."""
    digest = hashlib.sha256(text.encode()).hexdigest()
    Signature.objects.get_or_create(digest=digest, defaults={"key": key, "card_id": card_id, "at": at})


@transaction.atomic
def replace_lost(*, card: Card, by: Person, reason: str, on: date, at: datetime) -> Card:
    """Give a lost or broken card a new number: same scope, same last day; the old number counts no more.

    Raises StandInRefused. `on` is the day of entry in the card's zone.
    """
    return _stand_in(card, Ground.LOST, by=by, reason=reason, on=on, at=at)


@transaction.atomic
def reduce_scope(*, card: Card, by: Person, scope: str, limits: str, reason: str, on: date, at: datetime) -> Card:
    """Put a card with a narrower scope in place of this one, with the same last day. Raises StandInRefused.

    Whether the words are narrower is for the named person to judge; that they changed is seen here.
    """
    if (scope, limits) == (card.scope, card.limits):
        raise StandInRefused(_("Scope and limits are as they were: write what the holder may still do."))
    return _stand_in(card, Ground.REDUCED, by=by, reason=reason, on=on, at=at, scope=scope, limits=limits)


def _stand_in(card: Card, ground: Ground, *, by: Person, reason: str, on: date, at: datetime, **changed: str) -> Card:
    card = Card.objects.select_for_update().get(pk=card.pk)
    facts = card.facts()
    _check_stand_in(card, by, rules.standing(facts, on=on).standing, on, at)
    _take(card, Step.REPLACED, by=by, reason=reason, on=on, at=at)
    kept = {name: getattr(card, name) for name in STANDS}
    made = _created(
        number=_new_number(),
        ground=ground,
        stands_for=card,
        valid_from=on,
        # Where unconfirmed work merely warns, a due day may have passed: then it is due today.
        confirm_by=max(rules.confirm_by(facts, on=on), on),
        issued_at=at,
        issued_by=by,
        **kept | changed,
    )
    write(by=by.pk, act=f"card issued, {ground}", about={"card": made.pk, "for": card.pk}, at=at)
    return made


def _check_stand_in(card: Card, by: Person, state: Standing, on: date, at: datetime) -> None:
    if by.pk == card.person_id:
        raise StandInRefused(_("Nobody decides about their own card: ask another administrator."))
    if on != rules.local_day(at, card.zone):
        raise StandInRefused(_("A new card counts from the day it is entered."))
    if state is Standing.SUSPENDED:
        raise StandInRefused(_("This card is suspended: reinstate or withdraw it first, with the reason."))
    if not rules.may_stand_in(state):
        raise StandInRefused(
            _("This card is not in force, so no other can stand in for it. The holder must test again.")
        )


def _created(**columns: Any) -> Card:
    card = Card(**columns)
    card.keep()
    card.save(force_insert=True)
    before = Card.objects.filter(person_id=card.person_id, scheme_id=card.scheme_id, followed_on=None)
    before.exclude(pk=card.pk).update(followed_on=card.valid_from)
    return card


def _keep(card: Card) -> None:
    card.keep()
    card.save(update_fields=["closed_at", *KEPT])


def _take(card: Card, step: Step, *, by: Person, reason: str, on: date, at: datetime) -> Measure:
    taken = Measure.objects.create(card=card, step=step, on=on, at=at, by=by, reason=reason)
    card.closed_at = at if step in {Step.WITHDRAWN, Step.REPLACED} else card.closed_at
    _keep(card)
    write(by=by.pk, act=f"card {step}", about={"card": card.pk, "measure": taken.pk}, at=at)
    return taken


def _cycle(wanted: SchemeSpec, before: Card | None, passed_on: date, on: date) -> Cycle:
    by, earlier = Route.FIRST, None
    if before is not None:
        by = rules.route(before.last_day, before.renew_months, before.grace_months, on=on)
        earlier = Cycle(
            anchor=before.anchor, months=before.months, valid_from=before.valid_from, last_day=before.last_day
        )
    return rules.cycle(wanted.months, wanted.last_day, before=earlier, by=by, passed_on=passed_on, decided_on=on)


def _check_issue(
    person: Person, issued_by: Person, before: Card | None, days: Cycle, on: date, *, confirm_by: date
) -> None:
    if person.pk == issued_by.pk:
        raise CardRefused(_("Nobody issues their own card: another person must."))
    if days.anchor > on:
        raise CardRefused(_("The practical lies in the future: give the day on which it was passed."))
    if on > min(confirm_by, days.last_day):
        sentence = _("The practical was passed too long ago: work was to be confirmed by %(day)s. Test again.")
        raise CardRefused(sentence % {"day": date_format(confirm_by)})
    if before is not None and rules.standing(before.facts(), on=on).standing is Standing.SUSPENDED:
        sentence = _("Card %(number)s is suspended: reinstate or withdraw it first, with the reason.")
        raise CardRefused(sentence % {"number": before.number})


def _check_confirmation(
    card: Card, by: Person, state: Standing, on: date, at: datetime, *, doubts: bool, late: bool
) -> None:
    if by.pk == card.person_id:
        raise ConfirmationRefused(_("Nobody confirms their own work: ask another supervisor."))
    if on != rules.local_day(at, card.zone):
        raise ConfirmationRefused(_("A confirmation counts from the day it is entered."))
    if state in {Standing.WITHDRAWN, Standing.REPLACED, Standing.LAPSED, Standing.NOT_YET_VALID}:
        raise ConfirmationRefused(_("This card is not in force, so there is no work under it to confirm."))
    if late and not doubts and card.unconfirmed == Unconfirmed.STOPS:
        sentence = _(
            "The due day has passed, and a late confirmation does not mend a card. The holder must test again."
        )
        raise ConfirmationRefused(sentence)


def _new_number() -> str:
    """Draw a number nobody can walk to from another; 29^7 of them make a second draw rare."""
    while True:
        number = rules.number_of([secrets.choice(rules.ALPHABET) for _place in range(rules.DRAWN)])
        if not Card.objects.filter(number=number).exists():
            return number
