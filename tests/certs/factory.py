"""Rows of certification made directly, for tests that start from a signed practical or a card."""

import itertools
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from certs.cards import operations
from certs.cards.models import Card
from certs.schemes.models import Scheme, SchemeIssue
from certs.signoffs.models import Signoff
from tests.cast import Cast
from training.content.schemes import Decided, LastDay, SchemeSpec, Unconfirmed
from training.people.models import Person
from training.quizzes.models import Paper, PaperIssue, Sitting

COUNT = itertools.count(1)


def noon(day: date) -> datetime:
    """Return midday of a day, UTC: the same day in every zone these tests use."""
    return datetime.combine(day, time(12), tzinfo=UTC)


def scheme_spec(**changes: Any) -> SchemeSpec:
    """Return a scheme of 36 months, confirmed every 6, ending on the eve."""
    facts: dict[str, Any] = {
        "slug": "bonds",
        "issue": 1,
        "title": "Bonds by pin brazing",
        "scope": "Fixing bonds to running rails with an 8 mm pin.",
        "limits": "On spots that the railway's drawing shows.",
        "modules": ("setup",),
        "paper": "theory",
        "practical": ("setup",),
        "months": 36,
        "confirm_months": 6,
        "unconfirmed": Unconfirmed.STOPS,
        "last_day": LastDay.EVE,
        "zone": "Europe/London",
        "renew_months": 6,
        "grace_months": 6,
        "bonds": 3,
        "joint_limit": Decimal(120),
        "joint_limit_source": "own figure",
        "meter_percent": Decimal("0.5"),
        "meter_digits": 2,
        "pack_floor": Decimal(38),
        "decision": Decided.ON_SIGNING,
        "language": "en",
    }
    return SchemeSpec(**(facts | changes))


def scheme_issue(**changes: Any) -> SchemeIssue:
    """Save an issue of a scheme; the same slug and issue number give the same row."""
    wanted = scheme_spec(**changes)
    scheme, _made = Scheme.objects.get_or_create(slug=wanted.slug)
    made, _made = SchemeIssue.objects.get_or_create(
        scheme=scheme,
        number=wanted.issue,
        defaults={
            "title": wanted.title,
            "body": wanted.as_json() | {"checks": []},
            "digest": wanted.digest,
            "loaded_at": noon(date(2020, 1, 1)),
        },
    )
    return made


def passed_sitting(person: Person, *, on: date) -> Sitting:
    """Save a paper handed in and passed on a day."""
    paper, _made = Paper.objects.get_or_create(slug="theory")
    paper_issue, _made = PaperIssue.objects.get_or_create(
        paper=paper,
        version=1,
        defaults={"title": "Theory", "body": {}, "digest": "0" * 64, "loaded_at": noon(date(2020, 1, 1))},
    )
    return Sitting.objects.create(
        person=person,
        paper=paper,
        issue=paper_issue,
        seed=f"seed {next(COUNT)}",
        opened_at=noon(on),
        due_at=noon(on) + timedelta(hours=1),
        handed_in_at=noon(on) + timedelta(minutes=30),
        earned_numerator=9,
        earned_denominator=1,
        out_of=10,
        passed=True,
    )


def signoff(person: Person, issue: SchemeIssue, *, assessor: Person, on: date, **changes: Any) -> Signoff:
    """Save a signed and passed practical."""
    facts: dict[str, Any] = {
        "sitting": passed_sitting(person, on=on),
        "signed_at": noon(on),
        "place": "Training track",
        "air_c": Decimal("8.0"),
        "leads_in": True,
        "meter": "M-1",
        "calibrated_until": on + timedelta(days=200),
        "checks": [],
        "limit_uohm": Decimal(120),
        "limit_source": "own figure",
        "passed": True,
    }
    return Signoff.objects.create(
        person=person, scheme_issue=issue, assessor=assessor, assessed_on=on, **(facts | changes)
    )


def card(cast: Cast, person: Person, *, on: date, passed_on: date | None = None, **scheme: Any) -> Card:
    """Issue a card through the operation, on the practical of a day, signed by Olga."""
    issue = scheme_issue(**scheme)
    signed = signoff(person, issue, assessor=cast.olga, on=passed_on or on)
    return operations.issue(
        person=person,
        scheme_issue=issue,
        evidence_id=signed.pk,
        passed_on=signed.assessed_on,
        issued_by=cast.olga,
        at=noon(on),
    )


def change(cards: QuerySet[Card], **columns: Any) -> None:
    """Change what stands on cards past the operations, with the days that follow from it."""
    for one in cards:
        for name, value in columns.items():
            setattr(one, name, value)
        one.keep()
        one.save()
