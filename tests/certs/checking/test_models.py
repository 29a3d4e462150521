"""What the database refuses by itself."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from certs.cards.models import CardKey
from certs.checking.models import StatusList
from tests.cast import AT, ON

DAY = timedelta(days=1)


@pytest.mark.django_db
class TestConstraints:
    def test_a_key_ends_after_it_starts(self) -> None:
        """On its first day at the earliest."""
        key = CardKey(key_id="00000000", public="0" * 64, signs_from=ON, signs_to=ON - DAY)
        with pytest.raises(ValidationError, match="cannot stop signing"):
            key.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            key.save()

    def test_a_list_of_cards_is_good_for_a_while(self) -> None:
        """One that is out of date when it is made says nothing."""
        key = CardKey.objects.create(key_id="00000000", public="0" * 64, signs_from=ON, signs_to=ON)
        listed = StatusList(sequence=1, made_at=AT, good_until=AT, cards=0, measures=0, key=key, message="x")
        with pytest.raises(ValidationError, match="good for a while"):
            listed.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            listed.save()
