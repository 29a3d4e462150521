"""A visit as Sol asks Olga for it, for Ada."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine

from certs.schemes.models import Authority
from certs.schemes.rules import Act
from certs.visits.models import Visit
from tests.cast import AT, ON, START, Cast
from tests.certs.factory import scheme_issue

DAY = ON + timedelta(days=5)


@pytest.fixture
def today() -> Iterator[None]:
    """Every page is read on the day of the cast."""
    with time_machine.travel(AT, tick=False):
        yield


@pytest.fixture
def typed(cast: Cast) -> dict[str, object]:
    """What Sol types to ask Olga, who may assess, for Ada."""
    issue = scheme_issue()
    Authority.objects.create(
        person=cast.olga, scheme=issue.scheme, act=Act.ASSESSES, from_on=START, granted_by=cast.max, granted_at=AT
    )
    facts = {"issue": issue.pk, "on": DAY.isoformat(), "place": "North yard", "trainer": cast.olga.pk}
    return facts | {"people": [cast.ada.pk]}


@pytest.fixture
def visit(cast: Cast, typed: dict[str, object]) -> Visit:
    """The visit as it was asked for."""
    cast.client("sol").post("/visits/ask/", typed)
    return Visit.objects.get()
