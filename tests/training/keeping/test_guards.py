"""The database itself refuses to change what is written once."""

from collections.abc import Iterator
from datetime import UTC, datetime
from io import StringIO

import pytest
from django.core.checks import run_checks
from django.core.management import call_command
from django.db import DatabaseError, connection, models, transaction
from pytest_django import Settings

from training.keeping.models import Copy
from training.keeping.operations import guard, loosen, loosened
from training.keeping.queries import untied, written_once
from training.ledger.models import Entry
from training.ledger.operations import write

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)


@pytest.fixture
def guarded(transactional_db: None) -> Iterator[Entry]:
    guard()
    yield write(by=1, act="made", about={"of": 1}, at=NOW)
    loosen()


def refused(statement: str) -> bool:
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    except DatabaseError as fault:
        return "kept as it was written" in str(fault)
    return False


@pytest.mark.both
class TestGuards:
    @pytest.mark.parametrize(
        "statement",
        [
            "UPDATE training_entry SET act = 'unmade'",
            "UPDATE training_entry SET mark = mark",
            "DELETE FROM training_entry",
        ],
    )
    def test_refuses_by_hand_as_well(self, guarded: Entry, statement: str) -> None:
        assert refused(statement)
        assert Entry.objects.get().act == "made"

    def test_refuses_a_row_in_the_place_of_another(self, guarded: Entry) -> None:
        if connection.vendor == "sqlite":
            columns = 'seq, at, "by", act, about, prev, mark'
            other = columns.replace("act", "'unmade'")
            copied = f"SELECT {other} FROM training_entry"  # noqa: S608  no word of it comes from outside
            assert refused(f"INSERT OR REPLACE INTO training_entry ({columns}) {copied}")
        else:
            assert refused("TRUNCATE training_entry")

    def test_refuses_every_table_written_once(self, guarded: Entry) -> None:
        assert untied() == []
        assert len(written_once()) >= 6

    def test_lets_through_what_has_to_go_and_no_more(self, guarded: Entry) -> None:
        with loosened():
            Entry.objects.update(act="erased")
        assert Entry.objects.get().act == "erased"
        assert refused("DELETE FROM training_entry")

    def test_new_rows_are_kept(self, guarded: Entry) -> None:
        assert write(by=1, act="made", about={}, at=NOW).seq == guarded.seq + 1


def known_rows(table: str) -> int:
    """How many rows the database takes a table to have when it chooses how to answer."""
    known = {
        # https://sqlite.org/fileformat2.html#stat1tab: the first number of each index is the rows of the table.
        "sqlite": "SELECT CAST(stat AS INTEGER) FROM sqlite_stat1 WHERE tbl = %s",
        # https://www.postgresql.org/docs/current/catalog-pg-class.html
        "postgresql": "SELECT CAST(reltuples AS INTEGER) FROM pg_class WHERE relname = %s",
    }
    with connection.cursor() as cursor:
        cursor.execute(known[connection.vendor], [table])
        return int(cursor.fetchone()[0])


@pytest.mark.both
class TestAnalyze:
    def test_tells_the_database_how_large_its_tables_are(self, guarded: Entry) -> None:
        for number in range(3):
            write(by=1, act="made", about={"number": number}, at=NOW)
        call_command("analyze")
        assert known_rows("training_entry") == Entry.objects.count()


@pytest.mark.both
class TestMigrate:
    def test_puts_back_what_a_rebuilt_table_lost(self, guarded: Entry, settings: Settings) -> None:
        """SQLite makes a table anew when a column changes; its triggers go without a word."""
        old = Copy._meta.get_field("name")
        new = models.CharField(max_length=140, unique=True)
        new.set_attributes_from_name("name")
        new.model = Copy
        with connection.schema_editor() as editor:
            editor.alter_field(Copy, old, new)
        assert untied() == (["training_copy"] if connection.vendor == "sqlite" else [])
        settings.APPEND_ONLY = True
        found = [error.id for error in run_checks(databases=["default"], tags=["database"])]
        assert ("training.E002" in found) == (connection.vendor == "sqlite")
        call_command("migrate", run_syncdb=True, verbosity=0, stdout=StringIO())
        assert untied() == []
        assert known_rows("training_entry") == Entry.objects.count()
        with connection.schema_editor() as editor:
            editor.alter_field(Copy, new, old)
