"""Complaints of the invented company."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from certs.cards.models import Card
from certs.cards.rules import local_day
from certs.complaints import operations as complaints
from certs.complaints.models import Complaint
from certs.complaints.operations import Given, Outside
from certs.complaints.rules import About, Channel, Finding, Step
from training.people.models import Person

Row = Mapping[str, Any]


def complain(row: Row, *, by: Person, of: Person, at: datetime) -> None:
    """Write a complaint about somebody who trained, assessed or served."""
    complaints.receive(given=_given(row, at=at, of=of), by=by, on=local_day(at, by.employer.zone), at=at)


def write_down(row: Row, *, card: Card, by: Person, at: datetime) -> None:
    """Write down a complaint from outside about the work of somebody who holds a card."""
    on = local_day(at, by.employer.zone)
    outside = Outside(name=row["name"], channel=Channel(row["channel"]), contact=row["contact"], came_on=on)
    complaints.receive(given=_given(row, at=at, card=card), outside=outside, by=by, on=on, at=at)


def take_up(row: Row, *, by: Person, at: datetime) -> None:
    """Take one up."""
    complaints.take(complaint=_numbered(row), by=by, on=local_day(at, by.employer.zone), at=at)


def go_on(row: Row, *, step: Step, by: Person, asked: Person | None, at: datetime) -> None:
    """Do a step with one."""
    finding = Finding(row["finding"]) if "finding" in row else None
    facts = {"text": row["words"], "finding": finding, "asked": asked}
    complaints.add(complaint=_numbered(row), step=step, by=by, on=local_day(at, by.employer.zone), at=at, **facts)


def _numbered(row: Row) -> Complaint:
    """Return a complaint by its place in the history."""
    return Complaint.objects.order_by("received_at")[row["complaint"] - 1]


def _given(row: Row, *, at: datetime, card: Card | None = None, of: Person | None = None) -> Given:
    happened = at - timedelta(days=row["happened_days_ago"] - row["days_ago"])
    return Given(
        about=About(row["about"]),
        card=card,
        of=of,
        happened_on=happened.date(),
        place=row["place"],
        reference=row.get("reference", ""),
        what=row["what"],
        wanted=row["wanted"],
    )
