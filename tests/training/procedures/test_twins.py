"""The same button pressed twice at once on a slow network."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from tests.cast import AT, assemble
from tests.training.procedures.content import module
from training.ledger.models import Entry
from training.procedures import operations
from training.procedures.models import Reading, Revision


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwins:
    def test_record_one_reading(self):
        cast = assemble()
        operations.load([module()], at=AT)
        revision = Revision.objects.select_related("module").get()

        def read(_: int) -> int:
            try:
                return operations.record_reading(person=cast.ada, revision=revision, at=AT).pk
            finally:
                connection.close()

        with ThreadPoolExecutor(4) as pool:
            assert len(set(pool.map(read, range(4)))) == 1
        assert Reading.objects.count() == Entry.objects.count() == 1
