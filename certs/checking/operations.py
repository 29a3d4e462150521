"""Keys begun, retired and broken; the signed lists made anew.

A list of cards is made when somebody asks for it and a measure was taken, a card issued or a day begun since the last
one: a measure never waits for a key, and no phone fetches a list that is behind the register.
"""

from contextlib import suppress
from datetime import UTC, date, datetime
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from django.db import connection, transaction
from django.db.models import Max
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards.code import key_id
from certs.cards.models import CardKey
from certs.cards.operations import log_signature
from certs.cards.queries import KeyUnavailable, signing_key
from certs.cards.rules import add_months
from certs.checking import code, queries
from certs.checking.models import KeyList, StatusList
from certs.checking.rules import KEY_MONTHS, Seen, good_until
from training.ledger.operations import NOBODY, write

# One maker of a list at a time on PostgreSQL; SQLite's immediate transactions give the same.
LOCK = 7_263_402


class KeyRefused(ValueError):
    """This cannot be done with that key; the message is a sentence for the administrator."""


@transaction.atomic
def begin_key(*, public: bytes, signs_from: date, root: Ed25519PrivateKey, at: datetime) -> CardKey:
    """Enter a key that signs from a day for two years, and publish it. Raises KeyRefused, or queries.KeyUnavailable."""
    signs_to = add_months(signs_from, KEY_MONTHS)
    key = CardKey.objects.create(
        key_id=key_id(public).hex(), public=public.hex(), signs_from=signs_from, signs_to=signs_to
    )
    _publish(root, at)
    _enter("card key begun", key, at)
    return key


@transaction.atomic
def retire_key(*, name: str, last: date, root: Ed25519PrivateKey, at: datetime) -> CardKey:
    """Let a key sign no longer than a day that is not past; what it signed holds. Raises as `begin_key`."""
    key = _key(name)
    if last < max(at.astimezone(UTC).date(), key.signs_from):
        raise KeyRefused(_("The last day of a key is today or later, and not before its first."))
    key.signs_to = last
    key.save(update_fields=["signs_to"])
    _publish(root, at)
    _enter("card key retired", key, at)
    return key


@transaction.atomic
def break_key(*, name: str, root: Ed25519PrivateKey, at: datetime) -> CardKey:
    """Declare that somebody else may hold a key: all its cards are refused from now on. Raises as `begin_key`."""
    key = _key(name)
    if key.broken_on is not None:
        raise KeyRefused(_("That key is broken since %(day)s.") % {"day": date_format(key.broken_on)})
    key.broken_on = at.astimezone(UTC).date()
    key.save(update_fields=["broken_on"])
    _publish(root, at)
    _enter("card key broken", key, at)
    return key


@transaction.atomic
def make_status_list(*, at: datetime) -> StatusList:
    """Make and sign a list of the cards as they stand. Raises queries.KeyUnavailable."""
    _one_at_a_time()
    key, row = signing_key(on=at.astimezone(UTC).date())
    return _make(key, row, queries.seen(row, on=at.astimezone(UTC).date()), at)


def kept_lists(*, at: datetime) -> queries.Kept:
    """Return what a phone keeps, with a list of cards made anew when the register has moved on.

    Without a usable key the last lists are returned: they say themselves how old they are.
    """
    with suppress(KeyUnavailable):
        _renew(at)
    return queries.kept()


def fresh_list(*, at: datetime) -> StatusList:
    """Return the list of cards, made anew when the register has moved on. Raises KeyUnavailable."""
    return _renew(at)


def _renew(at: datetime) -> StatusList:
    on = at.astimezone(UTC).date()
    key, row = signing_key(on=on)
    if last := _ahead(row, on):
        return last
    with transaction.atomic():
        _one_at_a_time()
        # Whoever held the lock may have made it meanwhile.
        return _ahead(row, on) or _make(key, row, queries.seen(row, on=on), at)


def _ahead(key: CardKey, on: date) -> StatusList | None:
    """Return the last list if the register has not moved on since."""
    last = queries.newest_statuses()
    if last is None:
        return None
    made_on = last.made_at.astimezone(UTC).date()
    made_from = Seen(day=made_on, cards=last.cards, measures=last.measures, key=last.key.key_id)
    return last if made_from == queries.seen(key, on=on) else None


def _make(key: Ed25519PrivateKey, row: CardKey, made_from: Seen, at: datetime) -> StatusList:
    sequence, made_at = _next(StatusList), at.replace(microsecond=0)
    listed = code.StatusList(
        sequence=sequence, made=made_at, good_until=good_until(made_at), statuses=queries.statuses(at=at)
    )
    message = code.seal_statuses(listed, key)
    log_signature(text=message, key=row, card_id=None, at=at)
    return StatusList.objects.create(
        sequence=sequence,
        made_at=made_at,
        good_until=listed.good_until,
        cards=made_from.cards,
        measures=made_from.measures,
        key=row,
        message=message,
    )


def _publish(root: Ed25519PrivateKey, at: datetime) -> KeyList:
    """Sign the list of all keys with the root key."""
    if root.public_key().public_bytes_raw() != queries.root_public():
        raise KeyRefused(_("That is not the root key of this site: its public half is another one."))
    _one_at_a_time()
    listed = code.KeyList(sequence=_next(KeyList), made=at.replace(microsecond=0), keys=queries.entries())
    return KeyList.objects.create(sequence=listed.sequence, made_at=listed.made, message=code.seal_keys(listed, root))


def _enter(act: str, key: CardKey, at: datetime) -> None:
    """Say in the ledger what was done to a key: at the machine, where nobody is signed in."""
    write(by=NOBODY, act=act, about={"key": key.pk, "public": key.public}, at=at)


def _key(name: str) -> CardKey:
    key = CardKey.objects.filter(key_id=name.lower()).first()
    if key is None:
        raise KeyRefused(_("There is no key %(name)s: run manage.py keys list.") % {"name": name})
    return key


def _next(table: Any) -> int:
    """Return the sequence after the last one; a phone refuses a lower one than it keeps."""
    return int(table.objects.aggregate(last=Max("sequence"))["last"] or 0) + 1


def _one_at_a_time() -> None:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LOCK])
