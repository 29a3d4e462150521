"""What the file of a card and the status lists say, and checking a signed file against the register."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from certs.cards.models import Card, CardKey
from certs.cards.queries import cards, face, faces
from certs.cards.rules import end_of_day, local_day, start_of_day
from certs.credentials import code, rules
from certs.credentials.code import ProofRefused
from certs.credentials.models import Credential
from certs.credentials.rules import ENTRIES, SET_BY, Facts, Purpose


def credential(made: Credential) -> dict[str, Any]:
    """Return the credential of a card, before it is signed."""
    return rules.credential(_facts(made, cards().get(pk=made.card_id)))


def status_list(purpose: Purpose, number: int, *, at: datetime) -> dict[str, Any] | None:
    """Return a status list as cards stand at a moment, not signed yet, or None where there is none of that number."""
    within = range(number * ENTRIES, (number + 1) * ENTRIES)
    places = dict(
        Credential.objects.filter(place__gte=within.start, place__lt=within.stop).values_list("card_id", "place")
    )
    if not places:
        return None
    found = list(cards().filter(pk__in=places).order_by("pk"))
    days = {zone: local_day(at, zone) for zone in {card.zone for card in found}}
    shown = {
        shown.number: shown.standing
        for zone, on in days.items()
        for shown in faces([card for card in found if card.zone == zone], on=on)
    }
    marked = [places[card.pk] % ENTRIES for card in found if shown[card.number] in SET_BY[purpose]]
    return rules.status_list(
        address=_list_address(purpose, number),
        issuer=issuer_address(),
        purpose=purpose,
        encoded=code.packed(marked),
        at=at,
    )


def issuer_document() -> dict[str, Any]:
    """Return the public half of every key that signed here, as a checker asks for them."""
    return rules.issuer_document(issuer=issuer_address(), keys=[code.multikey(public) for public in _public_keys()])


def issuer_address() -> str:
    """Return the address under which the issuer's document is found; it stands in every file."""
    return f"{settings.SITE_URL}{reverse('credentials:issuer')}"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a check of a file found: whether it may be relied on at that moment, and why or why not."""

    good: bool
    sentences: tuple[str, ...]


def verdict(document: object, *, at: datetime) -> Verdict:
    """Check a file: what it must hold, its proof, its dates, and the register behind it."""
    lacks = rules.lacking(document)
    if lacks or not isinstance(document, dict):
        words = _("This is not the signed file of a card. It lacks: %(parts)s.")
        return Verdict(False, (words % {"parts": ", ".join(lacks)},))
    issuer = issuer_address()
    if document["issuer"]["id"] != issuer:
        return Verdict(False, (_("Another body issued this file, so it cannot be checked here."),))
    try:
        code.verify(document, {f"{issuer}#{code.multikey(key)}": key for key in _public_keys()})
    except ProofRefused as refusal:
        return Verdict(
            False, (_("The file was not signed here, or it was changed since. Do not rely on it."), str(refusal))
        )
    return _as_registered(document, at=at)


def _as_registered(document: Mapping[str, Any], *, at: datetime) -> Verdict:
    """Say how the card of a genuine file stands now."""
    number = str(document["credentialSubject"].get("licenseNumber", ""))
    card = cards().filter(number=number, credential__isnull=False).first()
    if card is None or document["id"] != card.credential.id.urn:
        return Verdict(False, (_("The file was signed here, but the register has no such card."),))
    shown = face(card, on=local_day(at, card.zone))
    words = _("Signed here, and not changed since: card %(number)s of %(holder)s.")
    says = words % {"number": shown.number, "holder": shown.holder}
    return Verdict(shown.holds, tuple(one for one in (says, shown.reason, shown.warning) if one))


def _facts(credential: Credential, card: Card) -> Facts:
    number, entry = divmod(credential.place, ENTRIES)
    title = card.scheme_issue.title
    words = _(
        "Read the procedures of the scheme, passed its paper, and passed a practical signed by an assessor, under "
        "%(scheme)s, issue %(issue)d."
    )
    return Facts(
        identity=credential.id.urn,
        issuer=issuer_address(),
        site=settings.SITE_URL,
        issuer_name=card.issuer_name,
        holder=card.holder_name,
        number=card.number,
        scheme=title,
        scheme_slug=card.scheme.slug,
        issue=card.scheme_issue.number,
        scope=card.scope,
        limits=card.limits,
        criteria=words % {"scheme": title, "issue": card.scheme_issue.number},
        starts=start_of_day(card.valid_from, card.zone),
        ends=end_of_day(card.last_day, card.zone),
        lists={purpose: _list_address(purpose, number) for purpose in Purpose},
        entry=entry,
    )


def _list_address(purpose: Purpose, number: int) -> str:
    return f"{settings.SITE_URL}{reverse('credentials:status', args=[purpose.value, number])}"


def _public_keys() -> list[bytes]:
    # Whoever holds a broken key can sign anything, of any day.
    known = CardKey.objects.filter(broken_on=None).order_by("pk")
    return [bytes.fromhex(public) for public in known.values_list("public", flat=True)]
