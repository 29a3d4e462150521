"""The keys that sign cards: where their private halves lie, which may sign on a day, what a code says."""

import stat
from datetime import date
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import load_pem_private_key
from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from certs.cards.code import CardCode, seal
from certs.cards.models import CardKey
from certs.cards.queries.faces import CardFace


class KeyUnavailable(RuntimeError):
    """A private key cannot be used; the message says what to do."""


def says(shown: CardFace, key: CardKey) -> CardCode:
    """Return what the code of a card states under a key.

    A card printed again under a younger key is issued with that key's first day, so that every code lies within the
    days of its key, and the same card under the same key still gives the same code.
    """
    return CardCode(
        name=shown.holder,
        number=shown.number,
        scheme=f"{shown.scheme_slug}/{shown.issue}",
        valid_from=shown.valid_from,
        last_day=shown.last_day,
        confirm_by=shown.confirmed_to,
        issued_on=max(shown.issued_on, key.signs_from),
        place=shown.card_id,
    )


def code_url(shown: CardFace) -> str:
    """Return the address printed as the code of a card. Raises KeyUnavailable; ValueError for too long a name.

    The same card under the same key gives the same address. Whoever prints it notes it first: operations.note_codes.
    """
    key, row = signing_key(on=shown.asked_on)
    return f"{settings.SITE_URL}{reverse('checking:check').rstrip('/')}#{seal(says(shown, row), key)}"


def key_files() -> tuple[Path, Path]:
    """Return where the key that signs cards lies, and where its successor waits for its first day."""
    path = Path(settings.CARD_KEY_FILE)
    return path, path.with_name(f"{path.name}.next")


def signing_key(*, on: date) -> tuple[Ed25519PrivateKey, CardKey]:
    """Load the key that signs on a day with its row, at each use, so that a new one counts at once.

    A successor signs from its first day. Raises KeyUnavailable.
    """
    path, successor = key_files()
    if successor.exists():
        key = private_key(successor)
        row = _row(key)
        if row is not None and row.signs_from <= on:
            return key, _fit(row, on)
    key = private_key(path)
    return key, _fit(_row(key), on)


def private_key(path: Path) -> Ed25519PrivateKey:
    """Load a private key from a file that nobody else can read. Raises KeyUnavailable.

    Its sentences are read by whoever asked for a card, so they name the file and not where it lies.
    """
    try:
        mode, pem = path.stat().st_mode, path.read_bytes()
    except OSError:
        sentence = _("There is no key to sign with in %(file)s: run manage.py keys new, or name the right file.")
        raise KeyUnavailable(sentence % {"file": path.name}) from None
    if stat.S_IMODE(mode) & 0o077:
        sentence = _("Others can read the key in %(file)s: set the mode of its file to 0400.")
        raise KeyUnavailable(sentence % {"file": path.name})
    try:
        key = load_pem_private_key(pem, password=None)
    except ValueError:
        key = None
    if not isinstance(key, Ed25519PrivateKey):
        raise KeyUnavailable(_("The file %(file)s does not hold an Ed25519 key.") % {"file": path.name})
    return key


def _row(key: Ed25519PrivateKey) -> CardKey | None:
    return CardKey.objects.filter(public=key.public_key().public_bytes_raw().hex()).first()


def _fit(row: CardKey | None, on: date) -> CardKey:
    if row is None:
        raise KeyUnavailable(_("The key that signs cards is not in the register: run manage.py keys new."))
    if not row.signs_on(on):
        sentence = _("Key %(name)s may not sign today: run manage.py keys list, then manage.py keys new.")
        raise KeyUnavailable(sentence % {"name": row.key_id})
    return row
