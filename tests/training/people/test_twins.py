"""Two administrators at once: one change is kept, the other is told."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from tests.cast import AT, ON, assemble
from training.ledger.models import Entry
from training.people import operations
from training.people.rules import Role


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwins:
    def test_give_a_role_once(self):
        cast = assemble()

        def give(_: int) -> str:
            days = {"from_on": ON, "until_on": None, "on": ON, "at": AT}
            try:
                operations.give_role(by=cast.max, person=cast.ada, role=Role.SUPERVISOR, **days)
            except operations.AlreadyHeld:
                return "told"
            else:
                return "kept"
            finally:
                connection.close()

        with ThreadPoolExecutor(4) as pool:
            answers = list(pool.map(give, range(4)))
        assert sorted(answers) == ["kept", "told", "told", "told"]
        assert cast.ada.roles_held.filter(role=Role.SUPERVISOR).count() == 1
        assert Entry.objects.count() == 1
