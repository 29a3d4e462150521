"""What is laid again is what was made."""

import pytest
from django.db import connection, transaction
from django.utils import timezone

from tests import company as demo
from tests import kept
from training.people.models import Person


def everything() -> dict[str, list[tuple[object, ...]]]:
    """Every row as the file of the database holds it, types included."""
    found = {}
    with connection.cursor() as cursor:
        for table in set(connection.introspection.table_names(cursor)) - kept.NOT_KEPT:
            cursor.execute(f'SELECT * FROM "{table}" LIMIT 0')  # noqa: S608
            shown = ", ".join(f'typeof("{column[0]}") || hex("{column[0]}")' for column in cursor.description)
            cursor.execute(f'SELECT {shown} FROM "{table}" ORDER BY 1')  # noqa: S608
            found[table] = cursor.fetchall()
    return found


@pytest.mark.django_db
class TestOnce:
    def test_lays_the_same_bytes_again(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """And a test that changed its people changed nobody else's."""
        if connection.vendor != "sqlite":
            return
        monkeypatch.setattr(kept, "KEPT", {})
        now = timezone.now()
        with transaction.atomic():
            first = demo.make(now)
            there = everything()
            first.people["moira"].name = "Somebody else"
            transaction.set_rollback(True)
        assert not Person.objects.exists()
        again = demo.make(timezone.now())
        assert again.now == first.now  # it was laid, not made
        assert everything() == there
        assert again.people["moira"].name == Person.objects.get(username="moira").name
