"""What this installation's database promises, and how far its disk and its copies are."""

import shutil
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import connections
from django.utils.translation import gettext as _

from training.keeping import rules
from training.keeping.models import Copy
from training.keeping.queries.proof import written_once
from training.ledger import queries as ledger
from training.mail.queries import Waiting, waiting

FULL = 2  # of SQLite's PRAGMA synchronous: OFF, NORMAL, FULL, EXTRA
MANY = 20


@dataclass(frozen=True, slots=True)
class Keeping:
    """What stands on the page of safe keeping."""

    library: str
    faults: list[str]
    free: int
    copies: list[Copy]
    parts: tuple[rules.Part, ...]
    entries: int
    mark: str
    mails: Waiting


def library(using: str = "default") -> str:
    """Name the database and its version."""
    connection = connections[using]
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("SELECT sqlite_version()")
            return f"SQLite {cursor.fetchone()[0]}"
    with connection.cursor() as cursor:
        cursor.execute("SHOW server_version")
        return f"PostgreSQL {cursor.fetchone()[0]}"


def setting_faults(using: str = "default") -> list[str]:
    """Return a sentence for each setting under which something kept could be lost with the power."""
    with connections[using].cursor() as cursor:
        if connections[using].vendor == "sqlite":
            return _of_sqlite(cursor)
        cursor.execute("SHOW synchronous_commit")
        found = cursor.fetchone()[0]
        cursor.execute("SHOW fsync")
        faults = []
        if found in {"off", "local"}:
            faults.append(_("synchronous_commit is %(found)s: set it to on.") % {"found": found})
        if cursor.fetchone()[0] == "off":
            faults.append(_("fsync is off: what was kept is lost with the power. Set it to on."))
        return faults


def _of_sqlite(cursor: object) -> list[str]:
    said = {}
    for name in ("synchronous", "journal_mode", "foreign_keys"):
        cursor.execute(f"PRAGMA {name}")  # type: ignore[attr-defined]
        said[name] = cursor.fetchone()[0]  # type: ignore[attr-defined]
    cursor.execute("SELECT sqlite_version()")  # type: ignore[attr-defined]
    version = cursor.fetchone()[0]  # type: ignore[attr-defined]
    faults = []
    if not rules.is_mended(rules.numbered(version)):
        faults.append(_("SQLite %(version)s can lose its log: 3.51.3 or newer is needed.") % {"version": version})
    if said["synchronous"] < FULL:
        faults.append(_("synchronous is below FULL: what was kept is lost with the power."))
    if said["journal_mode"] != "wal":
        faults.append(_("The journal is not a write-ahead log: run manage.py migrate."))
    if not said["foreign_keys"]:
        faults.append(_("References are not checked: set foreign_keys to ON."))
    return faults


def untied(using: str = "default") -> list[str]:
    """Return the tables written once that no trigger guards."""
    connection = connections[using]
    names = "SELECT tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'kept\\_%' ESCAPE '\\'"
    if connection.vendor == "postgresql":
        names = "SELECT tgrelid::regclass::text FROM pg_trigger WHERE tgname LIKE 'kept\\_%'"
    with connection.cursor() as cursor:
        cursor.execute(names)
        guarded = {row[0] for row in cursor.fetchall()}
    return [model._meta.db_table for model in written_once() if model._meta.db_table not in guarded]


def free() -> int:
    """Return the bytes left on the disk of the data folder."""
    folder = Path(settings.DATA_DIR)
    return shutil.disk_usage(folder if folder.exists() else folder.parent).free


def last_copy() -> datetime | None:
    """Return when the last proved copy was made."""
    return Copy.objects.order_by("-made_at").values_list("made_at", flat=True).first()


def health(*, wrote: bool, at: datetime) -> tuple[rules.Part, ...]:
    """Judge what a machine asks after. Where no row can be kept, nothing is read either."""
    if not wrote:
        return rules.parts(rules.Vitals(False, True, free(), None), at=at)
    name = library()
    mended = not name.startswith("SQLite") or rules.is_mended(rules.numbered(name.split()[1]))
    return rules.parts(rules.Vitals(True, mended, free(), last_copy(), waiting().since), at=at)


def keeping(*, wrote: bool, at: datetime) -> Keeping:
    """Return what an administrator looks at."""
    copies = list(Copy.objects.order_by("-made_at")[:MANY])
    last = ledger.head()
    entries, mark = (last.seq, last.mark) if last else (0, "")
    return Keeping(
        library(), setting_faults() + _unguarded(), free(), copies, health(wrote=wrote, at=at), entries, mark, waiting()
    )


def _unguarded() -> list[str]:
    return [
        _("%(table)s can be changed: run manage.py migrate, which guards it.") % {"table": table} for table in untied()
    ]
