"""The keys and the signed lists, as they are and as they should be."""

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from django.conf import settings
from django.db.models import Count
from django.utils.translation import gettext as _

from certs.cards.models import Card, CardKey, Measure
from certs.cards.queries import KeyUnavailable, cards, faces
from certs.cards.rules import Standing, add_months, local_day
from certs.checking.code import PUBLIC, KeyEntry, Status
from certs.checking.models import KeyList, StatusList
from certs.checking.rules import OVERLAP_MONTHS, Seen

STATUSES = {
    Standing.SUSPENDED: Status.SUSPENDED,
    # What a code cannot show and the day alone does not tell stops a card for the time being, like a suspension.
    Standing.WORK_NOT_CONFIRMED: Status.SUSPENDED,
    Standing.PROCEDURE_OVERDUE: Status.SUSPENDED,
    Standing.WITHDRAWN: Status.WITHDRAWN,
    Standing.REPLACED: Status.REPLACED,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What a phone keeps for checking cards: the public root key (hexadecimal) and the two signed lists, or nothing."""

    root: str
    keys: str
    cards: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyState:
    """A key as it stands on a day, and how many cards it has signed."""

    key: CardKey
    words: str
    cards: int


def root_public() -> bytes:
    """Return the public half of the root key (32 bytes). Raises KeyUnavailable."""
    path = Path(settings.ROOT_PUBLIC_FILE)
    try:
        public = bytes.fromhex(path.read_text(encoding="ascii"))
    except OSError:
        sentence = _("There is no public root key in %(path)s: run manage.py keys root.")
        raise KeyUnavailable(sentence % {"path": path}) from None
    except ValueError:
        public = b""
    if len(public) != PUBLIC:
        raise KeyUnavailable(_("The file %(path)s does not hold the public half of a root key.") % {"path": path})
    return public


def entries() -> tuple[KeyEntry, ...]:
    """Return every key there ever was, oldest first: its cards must be read until the last of them has run out."""
    return tuple(
        KeyEntry(
            public=bytes.fromhex(key.public),
            signs_from=key.signs_from,
            signs_to=key.signs_to,
            broken_on=key.broken_on,
        )
        for key in CardKey.objects.order_by("signs_from", "pk")
    )


def newest_keys() -> KeyList | None:
    """Return the list of keys that counts."""
    return KeyList.objects.order_by("-sequence").first()


def newest_statuses() -> StatusList | None:
    """Return the list of cards that counts."""
    return StatusList.objects.select_related("key").order_by("-sequence").first()


def kept() -> Kept:
    """Return what a phone keeps, as it was last made."""
    keys, cards = newest_keys(), newest_statuses()
    try:
        root = root_public().hex()
    except KeyUnavailable:
        root = ""
    return Kept(root=root, keys=keys.message if keys else "", cards=cards.message if cards else "")


def seen(key: CardKey, *, on: date) -> Seen:
    """Return what a list made now would be made from. Cards and measures are never deleted, so counts tell."""
    return Seen(day=on, cards=Card.objects.count(), measures=Measure.objects.count(), key=key.key_id)


def statuses(*, at: datetime) -> bytes:
    """Return a `Status` for each place, 0 where there is no card."""
    places = bytearray()
    for zone in Card.objects.order_by("zone").values_list("zone", flat=True).distinct():
        for shown in faces(cards().filter(zone=zone), on=local_day(at, zone)):
            places.extend(bytes(max(0, shown.card_id + 1 - len(places))))
            places[shown.card_id] = STATUSES.get(shown.standing, Status.VALID)
    return bytes(places)


def key_states(*, on: date) -> list[KeyState]:
    """Return every key with what it may do on a day, oldest first."""
    keys = CardKey.objects.annotate(codes=Count("signatures__card", distinct=True)).order_by("signs_from", "pk")
    return [KeyState(key=key, words=_words(key, on), cards=key.codes) for key in keys]


def _words(key: CardKey, on: date) -> str:
    if key.broken_on is not None:
        return _("broken: its cards are refused")
    if on < key.signs_from:
        return _("waits for its first day")
    if on > key.signs_to:
        return _("signs no more; its cards hold")
    if on > add_months(key.signs_to, -OVERLAP_MONTHS):
        return _("signs; make its successor now")
    return _("signs")
