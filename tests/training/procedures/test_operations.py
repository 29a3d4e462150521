"""Loading revisions and recording readings."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.cast import AT, Cast
from tests.training.procedures.content import module, revised
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
