"""Entries of the work log made for tests."""

import json
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from certs.schemes.models import Scheme
from certs.worklog import operations
from certs.worklog.models import WorkEntry
from training.people.models import Person

TYPED = {
    "scheme": "bonds",
    "done_on": "2026-11-24",
    "place": "Down line, 12.4 km",
    "bonds": "6",
    "job": "J 77",
    "air_c": "4,5",
    "air_below": "on",
    "pack_v": "39,6",
    "joint_uohm": "62.5",
}


def record(person: Person, scheme: Scheme, *, done_on: date, bonds: int, at: datetime, **changes: Any) -> WorkEntry:
    """Record bonds through the operation."""
    entry = {"done_on": done_on, "place": "Yard", "bonds": bonds, "job": "", "air_c": Decimal(4)} | changes
    made, _new = operations.record(
        key=uuid4(), person=person, scheme=scheme, entry=entry, digest="", phone_time=None, on=at.date(), at=at
    )
    return made


def body(made_by: int, **changes: Any) -> bytes:
    """Return what a phone sends."""
    fields = {name: value for name, value in (TYPED | changes).items() if value is not None}
    return json.dumps({"made_by": made_by, "phone_time": "2026-11-24T15:30:00Z", "fields": fields}).encode()


def send(client: Client, key: UUID, raw: bytes) -> HttpResponse:
    """Send it as the phone does."""
    return client.post(reverse("worklog:receive", args=[key]), raw, content_type="application/json")
