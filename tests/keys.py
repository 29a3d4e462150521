"""The keys of a test: a root key beside the card key, as `manage.py keys` makes them."""

from io import StringIO
from pathlib import Path

from django.conf import settings
from django.core.management import call_command

from certs.cards.queries import key_files


def root_file() -> Path:
    """Return where the root key of a test lies: beside the card key, where a real one never does."""
    return Path(settings.CARD_KEY_FILE).with_name("root.key")


def make_keys() -> None:
    """Make the root key, once a process, and a fresh key that signs cards."""
    for file in key_files():
        file.unlink(missing_ok=True)
    if not Path(settings.ROOT_PUBLIC_FILE).exists():
        call_command("keys", "root", str(root_file()), "--yes", stdout=StringIO())
    call_command("keys", "new", "--root", str(root_file()), "--yes", stdout=StringIO())
