"""What the database knows of its tables, by which it chooses the way to an answer."""

from django.db import connections


def analyze(using: str = "default") -> None:
    """Have every table looked at anew; each by itself, so that nobody waits long to write.

    SQLite never looks by itself, and a table that a migration rebuilt has lost what was known of it.
    """
    connection = connections[using]
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"ANALYZE {connection.ops.quote_name(table)}")
