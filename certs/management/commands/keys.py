"""The keys that sign cards: root, new, retire, broken, list."""

import os
from argparse import ArgumentParser
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards.code import key_id
from certs.cards.models import CardKey
from certs.cards.queries import KeyUnavailable, key_files, private_key
from certs.checking import code, operations, queries
from certs.checking.rules import LEAD_DAYS


class Command(BaseCommand):
    """Each act says what will happen, then asks; `--yes` answers for a script."""

    help = "Make, rotate, retire and declare broken the keys that sign cards; list them and check the signed list."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the act and what it needs."""
        acts = parser.add_subparsers(dest="act", required=True)
        root = acts.add_parser("root", help="make the root key, once: it signs the list of keys and lies offline")
        root.add_argument("path", type=Path, help="file for its private half, on a medium that is taken away")
        new = acts.add_parser("new", help="make a key that signs cards; beside one in use it waits for its first day")
        new.add_argument("--from", dest="first", type=date.fromisoformat, help="its first day, YYYY-MM-DD")
        retire = acts.add_parser("retire", help="let a key sign no longer; the cards it signed hold")
        retire.add_argument("--last", type=date.fromisoformat, help="its last day, YYYY-MM-DD (today)")
        broken = acts.add_parser("broken", help="somebody else may hold the key: refuse every card it signed")
        for act in (retire, broken):
            act.add_argument("key", help="the key's name: eight characters, as keys list shows it")
        for act in (new, retire, broken):
            act.add_argument("--root", type=Path, required=True, help="file of the root key, mode 0400")
        for act in (root, new, retire, broken):
            act.add_argument("--yes", action="store_true", help="do not ask")
        acts.add_parser("list", help="show every key, and whether the signed list is in order")

    def handle(self, *_args: object, act: str, **options: Any) -> None:
        """Do the act; a refusal of any kind is a sentence, and nothing is half done."""
        at = timezone.now()
        try:
            getattr(self, f"_{act}")(at, options)
        except (KeyUnavailable, operations.KeyRefused) as refusal:
            raise CommandError(str(refusal)) from None

    def _root(self, at: datetime, options: dict[str, Any]) -> None:
        path, public = options["path"], Path(settings.ROOT_PUBLIC_FILE)
        for file in (path, public):
            if file.exists():
                raise CommandError(_("There is a file in %(path)s already: nothing was changed.") % {"path": file})
        sentence = _("This makes the root key in %(path)s and notes its public half in %(public)s.")
        self._ask(sentence % {"path": path, "public": public}, options)
        key = Ed25519PrivateKey.generate()
        _write_private(path, key)
        _write(public, key.public_key().public_bytes_raw().hex().encode("ascii"), mode=0o444)
        self.stdout.write(_("Made. Take %(path)s off this machine, and keep a second copy elsewhere.") % {"path": path})

    def _new(self, at: datetime, options: dict[str, Any]) -> None:
        root, today = private_key(options["root"]), at.astimezone(UTC).date()
        path, successor = key_files()
        rows = {file: _row(file) for file in (path, successor)}
        signs = {file for file, row in rows.items() if row and row.signs_on(today)}
        waits = rows[successor]
        if waits and waits.broken_on is None and today < waits.signs_from:
            raise CommandError(_("A successor waits in %(path)s already: it has to sign first.") % {"path": successor})
        first = options["first"] or (today + timedelta(days=LEAD_DAYS) if signs else today)
        if first < today or (first > today and not signs):
            raise CommandError(_("The first day is today or later; with no key that signs today, it is today."))
        target = successor if signs else path
        sentence = _("This makes a key in %(path)s that signs cards from %(day)s, and signs a new list of keys.")
        self._ask(sentence % {"path": target, "day": date_format(first)}, options)
        key = Ed25519PrivateKey.generate()
        with transaction.atomic():
            public = key.public_key().public_bytes_raw()
            row = operations.begin_key(public=public, signs_from=first, root=root, at=at)
            # The files come last, so that a refusal leaves them as they were.
            _make_room(signs)
            _write_private(target, key)
        self.stdout.write(_("Key %(name)s signs from %(day)s.") % {"name": row.key_id, "day": date_format(first)})

    def _retire(self, at: datetime, options: dict[str, Any]) -> None:
        root, last = private_key(options["root"]), options["last"] or at.astimezone(UTC).date()
        sentence = _("Key %(name)s signs no card after %(day)s. What it signed until then holds.")
        self._ask(sentence % {"name": options["key"], "day": date_format(last)}, options)
        operations.retire_key(name=options["key"], last=last, root=root, at=at)
        self.stdout.write(_("Done. Make its successor with keys new, if there is none."))

    def _broken(self, at: datetime, options: dict[str, Any]) -> None:
        root, on = private_key(options["root"]), at.astimezone(UTC).date()
        signed = next((each.cards for each in queries.key_states(on=on) if each.key.key_id == options["key"]), 0)
        sentence = _("Every code that key %(name)s signed is refused from now on: %(cards)d cards to make again.")
        self._ask(sentence % {"name": options["key"], "cards": signed}, options)
        operations.break_key(name=options["key"], root=root, at=at)
        self.stdout.write(_("Done. Make another key with keys new, then print the cards again."))

    def _list(self, at: datetime, options: dict[str, Any]) -> None:
        for each in queries.key_states(on=at.astimezone(UTC).date()):
            row = _("%(name)s  %(first)s to %(last)s  %(cards)d cards  %(words)s")
            key = each.key
            facts = {"name": key.key_id, "first": key.signs_from, "last": key.signs_to}
            self.stdout.write(row % {**facts, "cards": each.cards, "words": each.words})
        listed = queries.newest_keys()
        if listed is None:
            raise CommandError(_("There is no signed list of keys: run keys root, then keys new."))
        try:
            inside = code.unseal_keys(listed.message, queries.root_public())
        except code.CodeRefused:
            raise CommandError(_("The signed list of keys was not signed by this site's root key.")) from None
        if inside.keys != queries.entries():
            raise CommandError(_("The signed list of keys is not what the register says: it was changed."))
        words = _("The signed list of keys, number %(sequence)d of %(day)s, is in order. Its root key is %(root)s.")
        root = key_id(queries.root_public()).hex()
        self.stdout.write(words % {"sequence": inside.sequence, "day": date_format(inside.made), "root": root})

    def _ask(self, sentence: str, options: dict[str, Any]) -> None:
        self.stdout.write(sentence)
        if not options["yes"] and input(_("Go on? Type yes: ")).strip().lower() != _("yes"):
            raise CommandError(_("Nothing was changed."))


def _row(path: Path) -> CardKey | None:
    """Return the register's row of the key in a file, None without a file; a key the register lacks is not touched."""
    if not path.exists():
        return None
    row = CardKey.objects.filter(public=private_key(path).public_key().public_bytes_raw().hex()).first()
    if row is None:
        sentence = _("The key in %(path)s is not in the register: move the file away, then run this again.")
        raise CommandError(sentence % {"path": path})
    return row


def _make_room(signs: set[Path]) -> None:
    """Let a successor that signs by now take its place; remove the files of keys that sign no more."""
    path, successor = key_files()
    if successor in signs:
        successor.replace(path)
    else:
        successor.unlink(missing_ok=True)
    if not signs:
        path.unlink(missing_ok=True)


def _write_private(path: Path, key: Ed25519PrivateKey) -> None:
    _write(path, key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()), mode=0o400)


def _write(path: Path, content: bytes, *, mode: int) -> None:
    """Write a fresh file, created with its mode, so that there is no moment at which others can read it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
