"""Triggers under which the database itself refuses to change or delete what is written once."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connections, transaction

from training.keeping.queries import written_once

SAYS = "kept as it was written"
POSTGRESQL = f"""
CREATE OR REPLACE FUNCTION kept_as_written() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{SAYS}' USING ERRCODE = 'integrity_constraint_violation'; END $$
"""


def guard(using: str = "default") -> None:
    """Put the triggers on every table written once. A table rebuilt by a migration has lost its own."""
    connection = connections[using]
    with transaction.atomic(using=using), connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRESQL)
        for table, key in _tables():
            if table in there:
                for statement in _statements(connection.vendor, table, key):
                    cursor.execute(statement)


def loosen(using: str = "default") -> None:
    """Take the triggers off: for migrations, and for what has to go by the rules of retention."""
    connection = connections[using]
    with transaction.atomic(using=using), connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
        for table, _key in _tables():
            for act in ("insert", "update", "delete", "truncate"):
                if connection.vendor == "sqlite":
                    cursor.execute(f'DROP TRIGGER IF EXISTS "kept_{act}_{table}"')
                elif table in there:
                    cursor.execute(f'DROP TRIGGER IF EXISTS "kept_{act}" ON "{table}"')


@contextmanager
def loosened(using: str = "default") -> Iterator[None]:
    """Without the triggers inside one transaction; nobody else ever sees the tables unguarded."""
    with transaction.atomic(using=using):
        loosen(using)
        yield
        guard(using)


def _tables() -> list[tuple[str, str]]:
    return [(model._meta.db_table, model._meta.pk.column) for model in written_once()]


def _statements(vendor: str, table: str, key: str) -> list[str]:
    if vendor == "postgresql":
        made = f'ON "{table}" FOR EACH'
        return [
            f'CREATE OR REPLACE TRIGGER "kept_update" BEFORE UPDATE {made} ROW EXECUTE FUNCTION kept_as_written()',
            f'CREATE OR REPLACE TRIGGER "kept_delete" BEFORE DELETE {made} ROW EXECUTE FUNCTION kept_as_written()',
            f'CREATE OR REPLACE TRIGGER "kept_truncate" BEFORE TRUNCATE {made} STATEMENT'
            " EXECUTE FUNCTION kept_as_written()",
        ]
    refuse = f"BEGIN SELECT RAISE(ABORT, '{SAYS}'); END"
    there = f'EXISTS (SELECT 1 FROM "{table}" WHERE "{key}" = NEW."{key}")'  # noqa: S608 # nosec B608: names of our own tables
    return [
        f'CREATE TRIGGER IF NOT EXISTS "kept_update_{table}" BEFORE UPDATE ON "{table}" {refuse}',
        f'CREATE TRIGGER IF NOT EXISTS "kept_delete_{table}" BEFORE DELETE ON "{table}" {refuse}',
        # INSERT OR REPLACE deletes without asking the trigger for deletes.
        f'CREATE TRIGGER IF NOT EXISTS "kept_insert_{table}" BEFORE INSERT ON "{table}" WHEN {there} {refuse}',
    ]
