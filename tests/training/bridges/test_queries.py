"""What revisions ask for, and who has done it."""

from datetime import date, timedelta

from tests.cast import AT, Cast
from tests.training.bridges.answers import right
from tests.training.procedures.content import asks, module, revised
from training.bridges import operations, queries
from training.bridges.rules import Duty
from training.procedures.models import Module, Revision
from training.procedures.operations import load, record_reading

DAY = timedelta(days=1)


class TestDuties:
    def test_are_those_of_revisions_that_ask(self, site: Cast, asking: Revision):
        """AT is 25 Nov 2026; sixty days on is 24 Jan 2027."""
        assert queries.duties([site.ada.pk]).duties == (
            Duty(
                slug="setup",
                title="Setting up",
                number=2,
                landed_on=date(2026, 11, 25),
                due_on=date(2027, 1, 24),
                asks=True,
                stops=True,
            ),
        )

    def test_are_settled_by_reading_and_answering(self, site: Cast, asking: Revision):
        bridge = operations.open_bridge(person=site.ada, revision=asking, seed="s1", at=AT)
        record_reading(person=site.ada, revision=asking, at=AT + DAY)
        (ada,) = queries.duties([site.ada.pk]).of(site.ada.pk)
        assert (ada.read_at, ada.answered_at, ada.settled_at) == (AT + DAY, None, None)
        operations.answer(bridge=bridge, turn=1, answers=right(bridge), at=AT + 2 * DAY)
        found = queries.duties([site.ada.pk, site.ben.pk])
        assert found.of(site.ada.pk)[0].settled_at == AT + 2 * DAY
        assert found.of(site.ben.pk)[0].settled_at is None

    def test_are_settled_by_a_later_revision_and_by_the_end_of_the_module(self, cast: Cast):
        load([module()], at=AT)
        load([revised(revision=asks("read", "due"))], at=AT)
        load([module(changed="Back again.")], at=AT + DAY)
        record_reading(person=cast.ada, revision=Revision.objects.get(number=3), at=AT + DAY)
        assert queries.duties([cast.ada.pk]).of(cast.ada.pk)[0].settled_at == AT + DAY
        Module.objects.update(retired_at=AT + 2 * DAY)
        assert queries.duties([cast.ben.pk]).of(cast.ben.pk)[0].settled_at == AT + 2 * DAY

    def test_take_one_query(self, site: Cast, asking: Revision, django_assert_num_queries):
        for person in (site.ada, site.ben):
            record_reading(person=person, revision=asking, at=AT)
        with django_assert_num_queries(1):
            queries.duties([site.ada.pk, site.ben.pk, site.quin.pk])

    def test_leave_other_modules_and_people_out(self, site: Cast, asking: Revision):
        load([module("firing", order=2), revised(revision=asks("answer", "stops"))], at=AT)
        record_reading(person=site.ada, revision=Revision.objects.get(module__slug="firing"), at=AT)
        record_reading(person=site.ben, revision=asking, at=AT)
        assert queries.duties([site.ada.pk]).done == {}
