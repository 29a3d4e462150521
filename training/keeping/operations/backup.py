"""Copies of the database, made while it is in use and proved before they count."""

import hashlib
import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from uuid import uuid4

from django.conf import settings
from django.db import connections, transaction
from django.utils.translation import gettext as _

from training.keeping.models import Copy
from training.keeping.operations.programs import ProgramFailed, run
from training.keeping.queries import Broken, applied, library, prove
from training.keeping.rules import Keep, Manifest, kept_names
from training.ledger import queries as ledger
from training.ledger.rules import Head

ENDINGS = {"sqlite": "sqlite3", "postgresql": "dump"}


class CannotCopy(Exception):
    """No copy was made, or none that was proved; its text says what to do."""


def back_up(folder: Path, *, at: datetime) -> Manifest:
    """Copy the database into a folder, prove the copy, note it. Raises CannotCopy and leaves nothing half made."""
    source = connections["default"]
    inside = Path(settings.DATA_DIR).resolve()
    if folder.resolve() == inside or inside in folder.resolve().parents:
        raise CannotCopy(_("Choose a folder outside the data folder: a copy beside its original is lost with it."))
    name = f"ferrule-{at:%Y%m%dT%H%M%SZ}.{ENDINGS[source.vendor]}"
    unfinished = folder / f".{name}.{uuid4().hex}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        made = _of_file(unfinished) if source.vendor == "sqlite" else _of_server(unfinished)
        unfinished.chmod(0o600)
        manifest = Manifest(
            name, at, source.vendor, library(), unfinished.stat().st_size, digest(unfinished), *made, applied("default")
        )
        _settle(unfinished, folder / name)
        note = folder / f".{name}.json.{uuid4().hex}"
        note.write_text(json.dumps(asdict(manifest), default=str, indent=1, sort_keys=True), encoding="utf-8")
        _settle(note, folder / f"{name}.json")
    except (OSError, sqlite3.Error, ProgramFailed, Broken) as fault:
        for left in folder.glob(f".{name}.*"):
            left.unlink()
        raise CannotCopy(_("No copy was made: %(fault)s") % {"fault": fault}) from fault
    Copy.objects.create(name=name, made_at=at, size=manifest.size, sha256=manifest.sha256, head_seq=manifest.head[0])
    return manifest


def thin_out(folder: Path, keep: Keep) -> list[str]:
    """Delete the copies that need not stay, each with its manifest; return their names."""
    found = manifests(folder)
    stay = kept_names({one.name: one.made for one in found}, keep)
    gone = sorted(one.name for one in found if one.name not in stay)
    for name in gone:
        (folder / f"{name}.json").unlink()
        (folder / name).unlink(missing_ok=True)
    return gone


def manifests(folder: Path) -> list[Manifest]:
    """Return what is written beside the copies of a folder; a file without a manifest is no copy of ours."""
    return [read_manifest(path) for path in sorted(folder.glob("ferrule-*.json"))]


def read_manifest(path: Path) -> Manifest:
    """Read what was written beside a copy. Raises ValueError, KeyError or TypeError where it is something else."""
    facts = json.loads(path.read_text(encoding="utf-8"))
    facts["made"] = datetime.fromisoformat(facts["made"])
    facts["head"] = (int(facts["head"][0]), str(facts["head"][1]))
    facts["steps"] = {app: tuple(names) for app, names in facts["steps"].items()}
    return Manifest(**facts)


def digest(path: Path) -> str:
    """Return the SHA-256 of a file (hex)."""
    with path.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


@contextmanager
def opened(path: Path) -> Iterator[str]:
    """Open a SQLite file beside the site's own database; yield the alias by which it is asked."""
    alias = f"copy-{uuid4().hex}"
    connections.databases[alias] = {
        **connections.databases["default"],
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(path),
        "OPTIONS": {},
    }
    try:
        yield alias
    finally:
        connections[alias].close()
        del connections[alias], connections.databases[alias]


def _of_file(unfinished: Path) -> tuple[tuple[int, str], dict[str, int]]:
    # What was acknowledged before the copy began must be in it.
    before = ledger.head()
    # VACUUM INTO reads one state of the file while others write; copying the file itself would miss its log.
    path = connections["default"].settings_dict["NAME"]
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True, timeout=30)) as source:
        source.execute("VACUUM INTO ?", [str(unfinished)])
    with opened(unfinished) as copy:
        return prove(copy, holds=before)


def _of_server(unfinished: Path) -> tuple[tuple[int, str], dict[str, int]]:
    connection = connections["default"]
    # The rows are counted, and the ledger proved, in the very state that is dumped.
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        cursor.execute("SELECT pg_export_snapshot()")
        snapshot = cursor.fetchone()[0]
        arguments = ["--format=custom", "--no-owner", f"--snapshot={snapshot}", f"--file={unfinished}"]
        run("pg_dump", connection.settings_dict, *arguments)
        run("pg_restore", {}, "--list", f"--file={os.devnull}", str(unfinished))
        return prove("default")


def _settle(unfinished: Path, path: Path) -> None:
    """Give a file its name once its bytes are on the disk, and the name as well."""
    settle_file(unfinished)
    unfinished.replace(path)
    settle_folder(path.parent)


def settle_file(path: Path) -> None:
    """Have the bytes of a file on the disk."""
    with path.open("rb") as handle:
        os.fsync(handle.fileno())


def settle_folder(folder: Path) -> None:
    """Have the names of a folder on the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def held(manifest: Manifest) -> Head | None:
    """Return the head of the ledger that a copy must hold."""
    return Head(*manifest.head) if manifest.head[0] else None
