"""Reading tokens, and the standing of one person or card on a day: by the same rule as the board."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F, QuerySet
from django.utils.translation import gettext as _

from certs.cards.models import Card
from certs.cards.queries import CardFace, cards, face, standings
from certs.cards.rules import local_day
from certs.gates.models import GateToken
from certs.gates.rules import NO_CARD, Answer
from certs.schemes.models import Scheme
from training.people.models import Employer, Person


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked: a person by user name or by the employer's number, or a card; with scheme and day.

    No day means today. Of a card the scheme may be left out.
    """

    person: str = ""
    number: str = ""
    card: str = ""
    scheme: Scheme | None = None
    on: date | None = None


def tokens(employers: QuerySet[Employer]) -> QuerySet[GateToken]:
    """Return the tokens of these employers: those in use first, by employer and name, then those revoked last."""
    found = GateToken.objects.filter(employer__in=employers).select_related("employer", "made_by", "revoked_by")
    return found.order_by(F("revoked_at").desc(nulls_first=True), "employer__name", "name", "pk")


def answer(employer: Employer, asked: Asked, *, at: datetime) -> Answer | None:
    """Answer for somebody of that employer, or None: for a stranger as for nobody at all.

    Today is the day in the zone of the card. Whose account is closed is answered for on days before it only, as on the
    board.
    """
    if asked.card:
        return _about_card(employer, asked, at=at)
    named = {"number": asked.number} if asked.number else {"username": asked.person}
    person = Person.objects.filter(employer=employer, **named).first()
    if person is None or asked.scheme is None:
        return None
    held = Card.objects.filter(person=person, scheme=asked.scheme).order_by("-valid_from", "-pk")
    zone = held.values_list("zone", flat=True).first() or employer.zone
    today = local_day(at, zone)
    on = asked.on or today
    if not person.is_active and on >= today:
        return None
    counts = standings([person.pk], on=on).get((person.pk, asked.scheme.pk))
    repeated = ("number", person.number) if asked.number else ("person", person.username)
    return _said(counts, repeated, asked.scheme.slug, on, zone)


def _about_card(employer: Employer, asked: Asked, *, at: datetime) -> Answer | None:
    """Answer for the very card of that number, also where another one counts by now."""
    held = cards().filter(number=asked.card, person__employer=employer).first()
    if held is None:
        return None
    today = local_day(at, held.zone)
    on = asked.on or today
    if not held.person.is_active and on >= today:
        return None
    scheme = asked.scheme or held.scheme
    shown = face(held, on=on) if scheme == held.scheme else None
    return _said(shown, ("card", held.number), scheme.slug, on, held.zone)


def _said(shown: CardFace | None, asked: tuple[str, str], scheme: str, on: date, zone: str) -> Answer:
    facts = {"asked": asked, "scheme": scheme, "on": on, "zone": zone}
    if shown is None:
        return Answer(**facts, standing=NO_CARD, current=False, why=_("No card of that scheme on that day."))
    holds = shown.holds
    return Answer(
        **facts,
        standing=shown.standing.value,
        current=holds,
        until=shown.last_day if holds else None,
        confirm_by=shown.confirmed_to if holds else None,
        since=None if holds else shown.day,
        why="" if holds else shown.reason,
        warning=shown.warning,
    )
