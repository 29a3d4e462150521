"""Make the key that signs cards."""

import os
from datetime import UTC
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, load_pem_private_key
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from certs.cards.code import key_id
from certs.cards.models import CardKey


class Command(BaseCommand):
    """Write a fresh private key to CARD_KEY_FILE and its public half to the register; overwrite nothing."""

    help = "Make the key that signs cards (a file of mode 0400) and record its public half."

    def handle(self, *_args: object, **_options: object) -> None:
        """Make the key, or record one that is there already."""
        path = Path(settings.CARD_KEY_FILE)
        made = not path.exists()
        if made:
            self._write(path)
        key = load_pem_private_key(path.read_bytes(), password=None)
        if not isinstance(key, Ed25519PrivateKey):
            raise CommandError(_("The file %(path)s holds another kind of key.") % {"path": path})
        public = key.public_key().public_bytes_raw()
        today = timezone.now().astimezone(UTC).date()
        name = key_id(public).hex()
        _row, fresh = CardKey.objects.get_or_create(key_id=name, public=public.hex(), defaults={"signs_from": today})
        if not (made or fresh):
            raise CommandError(_("There is a key already in %(path)s. Move it away to begin another.") % {"path": path})
        self.stdout.write(
            _("Key %(name)s signs cards from today. Keep a copy of %(path)s.") % {"name": name, "path": path}
        )

    def _write(self, path: Path) -> None:
        pem = Ed25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        path.parent.mkdir(parents=True, exist_ok=True)
        # Created with its mode, so that there is no moment at which others can read it.
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o400), "wb") as file:
            file.write(pem)
            file.flush()
            os.fsync(file.fileno())
