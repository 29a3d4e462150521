"""Writing to the ledger, in and out of transactions, one and several at a time."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta, timezone

import pytest
from django.db import IntegrityError, connection, transaction

from tests.cast import AT
from training.ledger.models import Entry
from training.ledger.operations import write
from training.ledger.queries import fault
from training.ledger.rules import START


def entry(card: int = 1, at: datetime = AT) -> Entry:
    return write(by=7, act="card issued", about={"card": card}, at=at)


@pytest.mark.django_db
class TestWrite:
    def test_ties_each_entry_to_the_one_before(self):
        first, second, third = entry(1), entry(2), entry(3)
        assert [first.seq, second.seq, third.seq] == [1, 2, 3]
        assert [first.prev, second.prev, third.prev] == [START, first.mark, second.mark]
        assert str(first) == "1 card issued"
        assert fault() == ""

    def test_keeps_the_moment_whatever_zone_it_was_told_in(self):
        entry(at=AT.astimezone(timezone(timedelta(hours=-9))) + timedelta(microseconds=1))
        assert Entry.objects.get().at == AT + timedelta(microseconds=1)
        assert fault() == ""

    def test_goes_back_with_the_act_it_belongs_to(self):
        entry(1)
        with pytest.raises(RuntimeError), transaction.atomic():
            entry(2)
            raise RuntimeError("the act failed")
        assert Entry.objects.count() == 1
        entry(3)
        assert fault() == ""


@pytest.mark.django_db
class TestFault:
    @pytest.mark.parametrize(
        ("harm", "sentence"),
        [
            (lambda rows: rows.filter(seq=2).update(by=8), "Entry 2 was changed after it was written."),
            (lambda rows: rows.filter(seq=2).update(about={"card": 9}), "Entry 2 was changed after it was written."),
            (lambda rows: rows.filter(seq=2).delete(), "Entry 2 is missing: the next one kept is 3."),
            (lambda rows: rows.filter(seq=3).update(prev=START), "Entry 3 does not follow the entry before it."),
        ],
        ids=["edit", "edit of what it is about", "gap", "broken link"],
    )
    def test_is_found_in_the_table(self, harm: Callable[..., object], sentence):
        for card in range(4):
            entry(card)
        harm(Entry.objects.all())
        assert fault() == sentence

    def test_reads_the_chain_in_one_query(self, django_assert_num_queries):
        for card in range(4):
            entry(card)
        with django_assert_num_queries(1):
            assert fault() == ""


@pytest.mark.django_db
class TestConstraints:
    def test_a_place_in_the_chain_is_taken_once(self):
        first = entry()
        with pytest.raises(IntegrityError), transaction.atomic():
            Entry.objects.create(seq=1, at=AT, by=7, act="x", about={}, prev=START, mark="0" * 64)
        with pytest.raises(IntegrityError), transaction.atomic():
            Entry.objects.create(seq=2, at=AT, by=7, act="x", about={}, prev=first.mark, mark=first.mark)


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestSeveralWriters:
    def test_make_one_chain(self):
        def work(writer: int) -> None:
            try:
                for card in range(10):
                    entry(100 * writer + card)
            finally:
                connection.close()

        with ThreadPoolExecutor(4) as pool:
            list(pool.map(work, range(4)))
        assert Entry.objects.count() == 40
        assert fault() == ""
