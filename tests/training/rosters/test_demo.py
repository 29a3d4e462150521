"""The rosters of the demo: one in its history, that can be undone, and one for a newcomer to try."""

from datetime import UTC, datetime
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from certs.management import replay
from tests import company as demo
from training.people.models import Person
from training.rosters import operations
from training.rosters.models import Roster
from training.rosters.queries import checked

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


@pytest.mark.django_db
def test_rosters_of_the_demo(settings: Any) -> None:
    """The first stands in the list with its undoing; the other adds two, moves one and asks about a spelling."""
    company = demo.settle(NOW)
    nadia = company.people["nadia"]
    row = next(row for row in replay.read(replay.FILES, "history.toml")["act"] if row["do"] == "brings roster")
    replay.brings_roster(company, row, nadia)
    applied = Roster.objects.get()
    assert Person.objects.exclude(number="").count() == 8
    client = Client()
    with time_machine.travel(NOW):
        client.force_login(nadia)
        assert "Undo this roster" in client.get(reverse("rosters:roster", args=[applied.pk])).content.decode()
        # A site of one's own is no demo.
        assert "roster-to-try.csv" not in client.get(reverse("rosters:index")).content.decode()
        settings.DEMO = True
        assert "roster-to-try.csv" in client.get(reverse("rosters:index")).content.decode()

    data = (replay.FILES / "roster-to-try.csv").read_bytes()
    facts = {"by": nadia, "on": NOW.date(), "at": NOW}
    tried = operations.bring(employer=company.people["moira"].employer, data=data, is_everyone=False, **facts)
    (ask,) = checked(tried, by=nadia, on=NOW.date()).asks
    greta = company.people["greta"]
    assert greta.pk in dict(ask.choices)
    page = checked(operations.answer(roster=tried, answers={ask.line: greta.pk}), by=nadia, on=NOW.date())
    assert (page.ready, page.wrong, page.changes) == (True, (), 4)
    operations.apply(roster=tried, seen=page.seen, **facts)
    operations.undo(roster=tried, **facts)
    operations.undo(roster=applied, **facts)
    assert not Person.objects.exclude(number="").exists()
