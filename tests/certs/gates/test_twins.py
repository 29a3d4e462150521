"""Two at once: one token of a name is made, and a token is revoked once."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from certs.gates import operations
from certs.gates.models import GateToken
from tests.cast import AT, assemble
from training.ledger.models import Entry


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwins:
    def test_make_one_token_of_a_name(self) -> None:
        """The others are told."""
        cast = assemble()

        def make(_place: int) -> str:
            try:
                operations.make_token(employer=cast.northmoor, name="Depot gate", by=cast.sol, at=AT)
            except operations.TokenRefused:
                return "told"
            else:
                return "made"
            finally:
                connection.close()

        with ThreadPoolExecutor(4) as pool:
            assert sorted(pool.map(make, range(4))) == ["made", "told", "told", "told"]
        assert GateToken.objects.count() == 1

    def test_revoke_it_once(self) -> None:
        """One line in the ledger."""
        cast = assemble()
        operations.make_token(employer=cast.northmoor, name="Depot gate", by=cast.sol, at=AT)
        token = GateToken.objects.get()

        def revoke(_place: int) -> None:
            try:
                operations.revoke_token(token=token, by=cast.sol, at=AT)
            finally:
                connection.close()

        with ThreadPoolExecutor(4) as pool:
            list(pool.map(revoke, range(4)))
        assert Entry.objects.filter(act="gate token revoked").count() == 1
