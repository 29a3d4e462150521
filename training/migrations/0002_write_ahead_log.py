"""Put a SQLite file into write-ahead logging, once: set per connection, first connections can meet a locked file."""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps


def write_ahead(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Switch the journal of a SQLite file; PostgreSQL has its own log."""
    if editor.connection.vendor == "sqlite":
        with editor.connection.cursor() as cursor:
            cursor.execute("PRAGMA journal_mode=WAL")


class Migration(migrations.Migration):
    """Outside a transaction: the journal cannot change inside one."""

    atomic = False
    dependencies = [("training", "0001_initial")]
    operations = [migrations.RunPython(write_ahead, migrations.RunPython.noop)]
