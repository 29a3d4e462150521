"""Proving a database whole: its pages, its references, its ledger, and how many rows each table has."""

from collections import defaultdict
from collections.abc import Mapping

from django.apps import apps
from django.db import connections, models
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.utils.translation import gettext as _

from training.ledger import queries as ledger
from training.ledger.models import Entry, Kept
from training.ledger.rules import Head


class Broken(Exception):
    """A database is not whole; its text is a sentence for whoever asked."""


def written_once() -> list[type[models.Model]]:
    """Return the tables whose rows are never changed nor deleted."""
    return [Entry, *(model for model in apps.get_models() if issubclass(model, Kept))]


def prove(using: str, *, holds: Head | None = None) -> tuple[tuple[int, str], dict[str, int]]:
    """Return the head of the ledger and the rows of each table. Raises Broken with what is wrong."""
    if connections[using].vendor == "sqlite":
        with connections[using].cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            if (said := [row[0] for row in cursor.fetchall()]) != ["ok"]:
                raise Broken(_("The file is damaged: %(said)s") % {"said": "; ".join(said[:3])})
            cursor.execute("PRAGMA foreign_key_check")
            if lost := cursor.fetchall():
                raise Broken(_("Rows of %(table)s point at rows that are gone.") % {"table": lost[0][0]})
    if fault := ledger.fault(holds, using=using):
        raise Broken(fault)
    last = ledger.head(using=using)
    there = set(connections[using].introspection.table_names())
    rows = {
        model._meta.db_table: model._base_manager.using(using).count()
        for model in apps.get_models()
        if model._meta.managed and model._meta.db_table in there
    }
    return ((last.seq, last.mark) if last else (0, "")), rows


def applied(using: str) -> dict[str, tuple[str, ...]]:
    """Return the migrations a database has had, by app."""
    return _by_app(MigrationRecorder(connections[using]).applied_migrations())


def known() -> dict[str, tuple[str, ...]]:
    """Return the migrations this program has, by app."""
    return _by_app(MigrationLoader(None, ignore_no_migrations=True).disk_migrations)


def _by_app(names: Mapping[tuple[str, str], object]) -> dict[str, tuple[str, ...]]:
    found = defaultdict(list)
    for app, name in sorted(names):
        found[app].append(name)
    return {app: tuple(names) for app, names in found.items()}
