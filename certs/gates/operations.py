"""Making and revoking tokens, and noting the day a token was last used."""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from certs.gates.models import GateToken
from certs.gates.rules import MOST_TOKENS, new_token
from training.ledger.operations import write
from training.people.models import Employer, Person
from training.tokens.rules import digest


class TokenRefused(ValidationError):
    """No such token is made; the message stands beside the field at fault."""


@transaction.atomic
def make_token(*, employer: Employer, name: str, by: Person, at: datetime) -> str:
    """Make a token of an employer and return its text, this once. Raises TokenRefused."""
    employer = Employer.objects.select_for_update().get(pk=employer.pk)
    in_use = GateToken.objects.filter(employer=employer, revoked_at__isnull=True)
    if in_use.count() >= MOST_TOKENS:
        sentence = _("This employer has %(most)d tokens in use: revoke one that nobody uses, then make this one.")
        raise TokenRefused({"name": sentence % {"most": MOST_TOKENS}})
    token = new_token()
    made = GateToken(
        employer=employer, name=name, handle=token.handle, digest=digest(token.secret), made_by=by, made_at=at
    )
    try:
        made.validate_constraints()
    except ValidationError as refusal:
        raise TokenRefused({"name": refusal.messages}) from None
    made.save()
    write(by=by.pk, act="gate token made", about={"token": made.pk, "employer": employer.pk}, at=at)
    return token.text


@transaction.atomic
def revoke_token(*, token: GateToken, by: Person, at: datetime) -> None:
    """Let a token answer no more, from this moment on; a second time changes nothing."""
    token = GateToken.objects.select_for_update().get(pk=token.pk)
    if token.revoked_at is not None:
        return
    token.revoked_by, token.revoked_at = by, at
    token.save(update_fields=["revoked_by", "revoked_at"])
    write(by=by.pk, act="gate token revoked", about={"token": token.pk, "employer": token.employer_id}, at=at)


def note_use(*, token: GateToken, on: date) -> None:
    """Note the day of use, once a day: when a token was last used tells which one nobody needs."""
    if token.used_on != on:
        GateToken.objects.filter(pk=token.pk).update(used_on=on)
