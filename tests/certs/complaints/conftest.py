"""A complaint of Sol about a bond of Ada's, who holds a card that Olga signed."""

from collections.abc import Iterator
from datetime import date

import pytest
import time_machine

from certs.cards.models import Card
from certs.complaints import operations, queries
from certs.complaints.models import Complaint, ComplaintStep
from certs.complaints.operations import Given
from certs.complaints.rules import About, Step
from tests.cast import AT, ON, Cast
from tests.certs import factory

WHAT = "The lead at 12.4 km came off in the hand."


@pytest.fixture
def today() -> Iterator[None]:
    """Every page is read on the day of the cast."""
    with time_machine.travel(AT, tick=False):
        yield


@pytest.fixture
def card(cast: Cast) -> Card:
    """Ada's card, of June."""
    return factory.card(cast, cast.ada, on=date(2026, 6, 1))


@pytest.fixture
def typed(card: Card) -> dict[str, object]:
    """What Sol types."""
    facts = {"about": "work", "card": card.number, "happened_on": "2026-11-20", "place": "Down line, 12.4 km"}
    return facts | {"reference": "J-12", "what": WHAT, "wanted": "Have her bonds of that week looked at."}


@pytest.fixture
def complaint(cast: Cast, typed: dict[str, object], today: None) -> Complaint:
    """The complaint as it was received."""
    cast.client("sol").post("/complaints/new/", typed)
    return Complaint.objects.get()


def given(**changes: object) -> Given:
    """Return a complaint about how somebody was treated."""
    facts: dict[str, object] = {"about": About.TREATMENT, "what": WHAT, "wanted": "An excuse."}
    return Given(**(facts | changes))  # type: ignore[arg-type]


def do(cast: Cast, found: Complaint, step: Step, *, by: str = "max", **facts: object) -> ComplaintStep:
    """Do a step with a complaint as an administrator, on the day of the cast."""
    if rules_handler(found) is None and step is not Step.SIDE:
        operations.take(complaint=found, by=getattr(cast, by), on=ON, at=AT)
    wanted = {"text": "Looked at.", "on": ON, "at": AT} | facts
    return operations.add(complaint=found, step=step, by=getattr(cast, by), **wanted)  # type: ignore[arg-type]


def rules_handler(found: Complaint) -> object:
    """Return who handles a complaint now."""
    return queries.handler_of(queries.complaints().get(pk=found.pk))
