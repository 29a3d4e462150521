"""Queries whose SQL is written once."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db.models import DateField

from tests.cast import ON, START, Cast
from training.people.models import Person, RoleHeld
from training.prepared import Blank, Prepared, Shelf


def roles() -> Any:
    held = RoleHeld.objects.filter(person__among=Blank("people"), from_on__lte=Blank("on", DateField()))
    return held.order_by("person").values_list("person", "from_on")


@pytest.mark.both
class TestPrepared:
    def test_finds_what_the_same_query_finds(self, cast: Cast) -> None:
        """Numbers, any count of them and none, and days, which come back as days."""
        prepared = Prepared(roles)
        for people in ([cast.ada.pk, cast.sol.pk], [cast.ben.pk], []):
            for on in (ON, START, date(2019, 12, 31)):
                plain = RoleHeld.objects.filter(person__in=people, from_on__lte=on).order_by("person")
                assert prepared.rows(people=people, on=on) == list(plain.values_list("person", "from_on"))

    def test_writes_its_query_once(self, cast: Cast) -> None:
        """Asked again it only fills the blanks in."""
        written = []

        def build() -> Any:
            written.append(1)
            return roles()

        prepared = Prepared(build)
        prepared.rows(people=[cast.ada.pk], on=ON)
        prepared.rows(people=[cast.ben.pk], on=ON)
        assert written == [1]

    def test_finds_nobody_among_nobody(self, cast: Cast, django_assert_num_queries: Callable[..., Any]) -> None:
        """A query that can find nothing is not asked."""
        with django_assert_num_queries(0):
            assert Prepared(lambda: Person.objects.none().values_list("pk")).rows() == []


class TestShelf:
    def test_holds_the_newest(self) -> None:
        """One more than there is room for takes the oldest off."""
        shelf = Shelf(2)
        first = shelf.get("first", roles)
        second = shelf.get("second", roles)
        assert shelf.get("first", roles) is first
        shelf.get("third", roles)
        assert shelf.get("second", roles) is second
        assert shelf.get("first", roles) is not first
