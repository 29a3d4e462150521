"""Bringing a copy back: proved before it takes its place."""

import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import uuid4

from django.db import connections
from django.utils.translation import gettext as _

from training.keeping.operations.backup import digest, held, opened, read_manifest, settle_file, settle_folder
from training.keeping.operations.programs import ProgramFailed, run
from training.keeping.queries import Broken, applied, known, prove
from training.keeping.rules import Manifest, unknown_steps

ASIDE = ("", "-wal", "-shm")


class CannotRestore(Exception):
    """Nothing was brought back, and nothing changed; its text says why."""


@dataclass(frozen=True, slots=True)
class Restored:
    """What stands now, and where the database it took the place of was put."""

    manifest: Manifest
    aside: Path | None
    to_migrate: list[str]


def restore(copy: Path, *, replace: bool, at: datetime) -> Restored:
    """Put a copy in the place of the site's database. Raises CannotRestore before anything is changed.

    A SQLite file that stands there is put aside under another name, and only with `replace`; on PostgreSQL the
    database has to be empty, and `replace` is not taken.
    """
    manifest = _manifest(copy)
    vendor = connections["default"].vendor
    if manifest.vendor != vendor:
        raise CannotRestore(
            _("This copy is of %(theirs)s, and DATABASE_URL names %(ours)s.")
            % {"theirs": manifest.vendor, "ours": vendor}
        )
    if newer := unknown_steps(manifest.steps, known()):
        raise CannotRestore(
            _("This copy is of a newer Ferrule: it has had %(steps)s. Install that one first.")
            % {"steps": ", ".join(newer[:5])}
        )
    behind = unknown_steps(known(), manifest.steps)
    aside = _as_file(copy, manifest, replace=replace, at=at) if vendor == "sqlite" else _into_server(copy, manifest)
    return Restored(manifest, aside, behind)


def _manifest(copy: Path) -> Manifest:
    try:
        manifest = read_manifest(copy.with_name(f"{copy.name}.json"))
        found = digest(copy)
    except (OSError, ValueError, KeyError, TypeError) as fault:
        raise CannotRestore(
            _("Give the path of a copy that manage.py backup made, with its .json beside it: %(fault)s")
            % {"fault": fault}
        ) from fault
    if found != manifest.sha256:
        raise CannotRestore(_("The copy was changed after it was made: its SHA-256 is another. Take an older one."))
    return manifest


def _as_file(copy: Path, manifest: Manifest, *, replace: bool, at: datetime) -> Path | None:
    path = Path(connections["default"].settings_dict["NAME"])
    if path.exists() and not replace:
        raise CannotRestore(
            _("%(path)s is there already. With --replace it is put aside under another name.") % {"path": path}
        )
    unfinished = path.with_name(f".{path.name}.{uuid4().hex}")
    try:
        shutil.copyfile(copy, unfinished)
        with closing(sqlite3.connect(unfinished)) as file:
            file.execute("PRAGMA journal_mode=WAL")
        with opened(unfinished) as alias:
            _compare(alias, manifest)
        settle_file(unfinished)
        connections["default"].close()
        aside = path.with_name(f"{path.name}.before-{at:%Y%m%dT%H%M%SZ}") if path.exists() else None
        if aside:
            _alone(path)
            for ending in ASIDE:
                part = Path(f"{path}{ending}")
                if part.exists():
                    part.rename(f"{aside}{ending}")
        unfinished.rename(path)
        settle_folder(path.parent)
    except (OSError, sqlite3.Error, Broken) as fault:
        raise CannotRestore(_("Nothing was brought back: %(fault)s") % {"fault": fault}) from fault
    finally:
        for left in path.parent.glob(f"{unfinished.name}*"):
            left.unlink()
    return aside


def _alone(path: Path) -> None:
    """Refuse while anyone else has the file open: they would go on writing into the one put aside."""
    with closing(sqlite3.connect(path, timeout=1)) as file:
        try:
            file.execute("PRAGMA locking_mode=EXCLUSIVE")
            file.execute("BEGIN EXCLUSIVE")
            file.rollback()
        except sqlite3.OperationalError as fault:
            raise CannotRestore(_("The database is in use. Stop the site first, then restore.")) from fault


def _into_server(copy: Path, manifest: Manifest) -> None:
    connection = connections["default"]
    if connection.introspection.table_names():
        raise CannotRestore(_("The database is not empty. Make a new one, name it in DATABASE_URL, and restore there."))
    connection.close()
    try:
        run("pg_restore", connection.settings_dict, "--single-transaction", "--exit-on-error", "--no-owner",
            f"--dbname={connection.settings_dict['NAME']}", str(copy))  # fmt: skip
        _compare("default", manifest)
    except (ProgramFailed, Broken) as fault:
        raise CannotRestore(_("Nothing to rely on was brought back: %(fault)s") % {"fault": fault}) from fault


def _compare(using: str, manifest: Manifest) -> None:
    head, rows = prove(using, holds=held(manifest))
    if head != manifest.head or rows != dict(manifest.rows) or applied(using) != dict(manifest.steps):
        raise Broken(_("what is in it is not what was in it when it was made."))
