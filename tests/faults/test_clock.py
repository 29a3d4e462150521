"""The day the clocks change, and a server whose clock was set back.

What a clock that jumps does to a paper is in tests/training/quizzes/test_integrity.py (`clock`).
"""

from datetime import date, datetime, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core.cache import cache
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from certs.cards.models import Card
from tests.cast import AT, Cast
from tests.certs import factory
from training.content.schemes import Unconfirmed
from training.ledger.operations import write

pytestmark = pytest.mark.django_db

CHICAGO = ZoneInfo("America/Chicago")


def says(card: Card, moment: datetime) -> str:
    """Return what anyone who checks a card is told at a moment."""
    cache.clear()
    with time_machine.travel(moment, tick=False):
        return Client().get(reverse("checking:number", args=[card.number])).content.decode()


@pytest.mark.parametrize(
    "last",
    [
        date(2026, 11, 1),  # 25 hours: back from CDT to CST at 07:00 UTC (IANA time zone database)
        date(2026, 3, 8),  # 23 hours: on from CST to CDT at 08:00 UTC
    ],
)
def test_card_is_good_through_its_last_local_day(cast: Cast, last: date) -> None:
    """To the last minute of that day where the work is, which is the next day already by the clock of the server."""
    began = last.replace(year=last.year - 3) + timedelta(days=1)
    card = factory.card(cast, cast.ada, on=began, zone="America/Chicago", unconfirmed=Unconfirmed.WARNS)
    assert card.last_day == last
    end = datetime.combine(last, datetime.max.time(), tzinfo=CHICAGO)
    assert "Genuine" in says(card, end)
    assert "Do not accept" in says(card, datetime.combine(last + timedelta(days=1), datetime.min.time(), CHICAGO))


def test_a_clock_set_back_shows_in_the_ledger(cast: Cast) -> None:
    """The chain is whole all the same; acts a few seconds out of order, as waiting makes them, are not named."""
    moments = [AT, AT + timedelta(seconds=5), AT, AT - timedelta(days=1), AT]
    entries = [write(by=cast.max.pk, act="card issued", about={"card": 1}, at=at) for at in moments]
    said = StringIO()
    call_command("ledger", stdout=said)
    assert "The ledger is whole" in said.getvalue()
    steps = [line for line in said.getvalue().splitlines() if "went back" in line]
    assert len(steps) == 1
    assert f"by 1 day, 0:00:00 before entry {entries[3].seq}" in steps[0]
