"""The public answer about a card, out of the register."""

from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.cards import code
from certs.cards.models import CardKey
from certs.cards.queries import CardFace, card_numbered, face
from certs.cards.rules import local_day
from certs.checking.rules import Objection, objection
from certs.portraits.queries import at_check

OBJECTIONS = {
    Objection.BROKEN: gettext_lazy(
        "The key that signed this code is broken: anybody may have made it. Type the number."
    ),
    Objection.TOO_LATE: gettext_lazy("The code was signed with a key that was no longer in use. Type the card number."),
    Objection.TOO_EARLY: gettext_lazy("The code was signed with a key that was not yet in use. Type the card number."),
}


class Answer(StrEnum):
    """What somebody at the gate is told."""

    ACCEPT = "accept"
    TELEPHONE = "telephone"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """The public answer about a card, with the local moment of asking; without a face nothing is known of it.

    `photo` is the signed address of the holder's photo, where they agreed to it and the card holds.
    """

    answer: Answer
    reasons: tuple[str, ...]
    at: datetime
    zone: str
    face: CardFace | None = None
    photo: str = ""

    @property
    def when(self) -> str:
        """The moment as clocks there show it; a template would turn it into the site's own zone."""
        return date_format(self.at, "DATETIME_FORMAT")


def check(number: str, *, at: datetime, says: code.CardCode | None = None) -> Checked:
    """Answer whether to let the holder of that number work; `says` is what a genuine code of the card claims."""
    card = card_numbered(number)
    if card is None:
        return _refused(_("The register has no card of that number."), at)
    shown = face(card, on=local_day(at, card.zone))
    doubts = [shown.warning] if shown.warning else []
    if says is not None and (says.name, says.last_day) != (shown.holder, shown.last_day):
        doubts.append(_("The name or the last day in the code is not what the register says."))
    answer = Answer.TELEPHONE if doubts else Answer.ACCEPT
    return Checked(
        answer=answer if shown.holds else Answer.REFUSE,
        reasons=(shown.reason, *doubts),
        at=at.astimezone(ZoneInfo(card.zone)),
        zone=card.zone,
        face=shown,
        # The photo serves to compare a face before work; of a card that is refused there is nothing to compare.
        photo=at_check(shown.person_id, at=at) if shown.holds else "",
    )


def check_code(pasted: str, *, at: datetime) -> Checked:
    """Answer for a pasted code: first its signature and the key that made it, then the register."""
    keys = {bytes.fromhex(key.key_id): key for key in CardKey.objects.all()}
    try:
        found = code.unseal(code.fragment(pasted), {name: bytes.fromhex(key.public) for name, key in keys.items()})
    except code.CodeRefused:
        return _refused(_("The code was not signed here, or it was not read whole. Type the card number instead."), at)
    key, says = keys[found.signed_by], found.says
    against = objection(
        issued_on=says.issued_on, signs_from=key.signs_from, signs_to=key.signs_to, broken_on=key.broken_on
    )
    return _refused(str(OBJECTIONS[against]), at) if against else check(says.number, at=at, says=says)


def _refused(sentence: str, at: datetime) -> Checked:
    return Checked(answer=Answer.REFUSE, reasons=(sentence,), at=at.astimezone(UTC), zone="UTC")
