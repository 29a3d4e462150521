"""The words of a card that do not depend on its scheme, in the language they are printed in."""

from datetime import date

from django.conf import settings
from django.utils.formats import date_format
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from certs.cards.queries import CardFace
from training.people.rules import LANGUAGES

__all__ = ["LANGUAGES", "caution", "days", "how_to_check", "labels", "terms", "zone"]

# The month as a word in few letters: a long date does not fit, and figures alone are misread.
# In French three letters leave June and July alike.
DAY, DAYS = "j b Y", {"en": "j M Y", "fr": "j N Y"}


def site() -> str:
    """Return the address of the site as a person reads it."""
    return str(settings.SITE_URL).partition("://")[2]


def labels(face: CardFace, *, limits_behind: bool) -> dict[str, str]:
    """Return the labels of the front and the texts that stand beside no box."""
    return {
        "number": _("Card number"),
        "from": _("Valid from"),
        "to": _("To the end of"),
        "confirmed": _("Work confirmed to"),
        "scope": _("Scope (limits on the back)") if limits_behind else _("Scope"),
        "limits": _("Limits"),
        "code": _("Code that opens %(site)s/check and shows how this card stands") % {"site": site()},
        "photo": _("Photo of %(holder)s") % {"holder": face.holder},
    }


def days(face: CardFace) -> dict[str, str]:
    """Return the three days of the front."""
    return {"from": _day(face.valid_from), "to": _day(face.last_day), "confirmed": _day(face.confirmed_to)}


def zone(face: CardFace) -> str:
    """Return the time zone in which the last day ends."""
    return _("Time zone %(zone)s") % {"zone": face.zone}


def caution() -> str:
    """Return what comes first on the back."""
    return _(
        "Local codes, the employer's procedure and licensed practice come first. "
        "This card gives no leave to enter the track or to work on live equipment."
    )


def how_to_check() -> str:
    """Return how to check the card."""
    words = _(
        "To check: scan the code, or type the card number at %(site)s/check. Compare the name with a proof of identity."
    )
    return words % {"site": site()}


def terms(face: CardFace, *, mark: str) -> tuple[str, str]:
    """Return whose card it is and what it is good for, and where to send one that is found, with the ledger's mark."""
    found = _("Property of %(issuer)s. Found it? Tell them: %(site)s.") % {"issuer": face.issuer, "site": site()}
    # On the last line there is room beside a photo for this; a line of its own would take that of the limits.
    entry = _("Ledger entry %(mark)s") % {"mark": mark} if mark else ""
    return (
        _(
            "Issued under %(issuer)s's own scheme. Show this card on request. "
            "It holds inside its scope and limits, and only while the check calls it current."
        )
        % {"issuer": face.issuer},
        f"{found} {entry}".strip(),
    )


def _day(day: date) -> str:
    return date_format(day, DAYS.get(get_language() or "", DAY))
