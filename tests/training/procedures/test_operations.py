"""Loading revisions and recording readings."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.cast import AT, Cast
from tests.training.procedures.content import asks, module, revised
from training.content.demands import Demand, DemandSpec, Overdue
from training.content.tally import Tally
from training.ledger.models import Entry
from training.procedures import operations
from training.procedures.models import Module, Reading, Revision


def load(*specs):
    return operations.load(specs, at=AT)


@pytest.mark.django_db
class TestLoad:
    def test_keeps_a_new_module_as_its_first_revision(self):
        assert load(module()) == Tally(new=1)
        revision = Revision.objects.get()
        assert (revision.number, revision.title, revision.loaded_at) == (1, "Setting up", AT)
        assert revision.body == module().as_json()
        assert revision.digest == module().digest

    def test_leaves_the_same_text_alone(self):
        load(module(), module("firing"))
        assert load(module(), module("firing")) == Tally(unchanged=2)
        assert Revision.objects.count() == 2

    def test_keeps_a_changed_text_as_the_next_revision_beside_the_old(self):
        load(module())
        assert load(revised()) == Tally(revised=1)
        assert list(Revision.objects.order_by("number").values_list("number", "changed")) == [
            (1, "First issue."),
            (2, "The earth is now checked twice."),
        ]

    def test_retires_a_module_without_a_file_and_keeps_its_revisions(self):
        load(module(), module("firing"))
        assert load(module()) == Tally(unchanged=1, retired=1)
        assert Module.objects.get(slug="firing").retired_at == AT
        assert Revision.objects.count() == 2
        assert load(module()) == Tally(unchanged=1)

    def test_brings_a_retired_module_back(self):
        load(module())
        load()
        assert load(module()) == Tally(revised=1)
        assert Module.objects.get().retired_at is None
        assert Revision.objects.count() == 1


@pytest.mark.django_db
class TestDemand:
    def test_is_frozen_with_its_last_day(self):
        load(module())
        load(revised(revision=asks("answer", "stops", within_days=5)))
        revision = Revision.objects.get(number=2)
        assert (revision.demand, revision.overdue) == ("answer", "stops")
        # AT is 25 Nov 2026.
        assert revision.due_on == date(2026, 11, 30)
        assert revision.questions == ["drop-1", "one-1"]

    def test_of_a_first_issue_is_nothing(self):
        load(module(revision=asks()))
        assert (Revision.objects.get().demand, Revision.objects.get().due_on) == ("stands", None)

    def test_of_cards_that_stand_is_nothing(self):
        load(module())
        stands = DemandSpec(demand=Demand.STANDS, within_days=None, overdue=Overdue.DUE, questions=())
        load(revised(revision=stands))
        assert (Revision.objects.get(number=2).demand, Revision.objects.get(number=2).due_on) == ("stands", None)

    @pytest.mark.parametrize(
        ("changed", "message"),
        [
            ({"demand": "read"}, "has a last day and says what follows it"),
            ({"demand": "read", "overdue": "due"}, "has a last day and says what follows it"),
            ({"demand": "read", "due_on": date(2027, 1, 1)}, "has a last day and says what follows it"),
            ({"due_on": date(2027, 1, 1)}, "has a last day and says what follows it"),
            ({"demand": "sign", "overdue": "due", "due_on": date(2027, 1, 1)}, "has a last day and says what follows"),
            (
                {"number": 1, "demand": "read", "overdue": "due", "due_on": date(2027, 1, 1)},
                "A first issue asks nothing of card holders",
            ),
        ],
    )
    def test_is_whole_or_refused_by_the_database(self, changed, message):
        facts = {"module": Module.objects.create(slug="setup"), "number": 2, "language": "en", "title": "Setting up"}
        facts |= {"order": 1, "body": {}, "digest": "0" * 64, "changed": "c", "loaded_at": AT}
        row = Revision(**(facts | changed))
        with pytest.raises(ValidationError, match=message):
            row.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save()


class TestRecordReading:
    def test_records_once_however_often_it_is_said(self, cast: Cast):
        load(module())
        revision = Revision.objects.get()
        first = operations.record_reading(person=cast.ada, revision=revision, at=AT)
        again = operations.record_reading(person=cast.ada, revision=revision, at=AT)
        assert first == again
        assert Reading.objects.count() == 1
        entry = Entry.objects.get()
        assert (entry.act, entry.by, entry.about) == ("procedure read", cast.ada.pk, {"revision": revision.pk})

    def test_refuses_a_revision_that_is_no_longer_in_force(self, cast: Cast):
        load(module())
        load(revised())
        with pytest.raises(operations.Superseded):
            operations.record_reading(person=cast.ada, revision=Revision.objects.get(number=1), at=AT)

    def test_refuses_a_module_out_of_use(self, cast: Cast):
        load(module())
        load()
        with pytest.raises(operations.Withdrawn):
            operations.record_reading(person=cast.ada, revision=Revision.objects.get(), at=AT)
        assert not Entry.objects.exists()


class TestConstraints:
    def test_a_revision_number_is_used_once(self, db):
        load(module())
        one = Revision.objects.get()
        twin = Revision(
            module=one.module,
            number=1,
            language="en",
            title="T",
            order=1,
            body={"a": 1},
            digest="d",
            changed="c",
            loaded_at=AT,
        )
        with pytest.raises(ValidationError, match="already has a revision of that number"):
            twin.full_clean()
        with pytest.raises(IntegrityError), transaction.atomic():
            twin.save()

    def test_a_reading_is_on_record_once(self, cast: Cast):
        load(module())
        reading = operations.record_reading(person=cast.ada, revision=Revision.objects.get(), at=AT)
        twin = Reading(person=cast.ada, revision=reading.revision, read_at=AT)
        with pytest.raises(ValidationError, match="already on record"):
            twin.full_clean()
        with pytest.raises(IntegrityError), transaction.atomic():
            twin.save()
