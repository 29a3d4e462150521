"""Two schemes with their people, and filled sheets, for the tests of this room."""

import json
import re
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.http import HttpResponse
from django.urls import reverse

from certs.schemes.models import Authority, SchemeIssue, TrainingAct
from certs.schemes.operations import load
from certs.schemes.queries import current_issue
from certs.schemes.rules import Act
from certs.signoffs import operations
from certs.signoffs.models import Signoff
from certs.signoffs.rules import Bond, Look, Sheet
from tests.cast import AT, ON, START, Cast
from tests.certs.factory import noon, passed_sitting, scheme_spec
from training.content.practicals import CheckSpec
from training.content.schemes import Decided
from training.people.models import Person
from training.procedures.models import Module, Reading, Revision

CHECKS = tuple(
    CheckSpec(module="setup", slug=slug, step="setup.pack", text=text, good="so", critical=critical, weight=weight)
    for slug, text, critical, weight in [
        ("pack", "Meters the pack", True, 2),
        ("earth", "Fits the earth", True, 2),
        ("kit", "Lays the kit out", False, 4),
        ("stance", "Takes the stance", False, 1),
    ]
)


@dataclass
class Ground:
    """The schemes in force: `straight` leads to the card on signing, `separate` waits for a decision."""

    cast: Cast
    revision: Revision
    straight: SchemeIssue
    separate: SchemeIssue

    def ready(self, person: Person, *, on: date = ON - timedelta(days=2)) -> None:
        """Let a person pass the paper and read the module on a day."""
        passed_sitting(person, on=on)
        Reading.objects.get_or_create(person=person, revision=self.revision, defaults={"read_at": noon(on)})

    def allow(self, person: Person, act: Act, *, until_on: date | None = None) -> None:
        """Give a permission under both schemes."""
        for issue in (self.straight, self.separate):
            Authority.objects.create(
                person=person, scheme=issue.scheme, act=act, from_on=START, until_on=until_on,
                granted_by=self.cast.max, granted_at=AT,
            )  # fmt: skip

    def train(self, trainer: Person, candidate: Person, *, ended_on: date = ON - timedelta(days=30)) -> None:
        """Record training under both schemes."""
        for issue in (self.straight, self.separate):
            TrainingAct.objects.create(
                scheme=issue.scheme, trainer=trainer, candidate=candidate, ended_on=ended_on, recorded_at=AT
            )

    def sign(self, *, scheme: SchemeIssue | None = None, by: Person | None = None, **changes: Any) -> Signoff:
        """Sign Ada's practical as Olga through the operation."""
        return operations.sign_off(
            candidate=self.cast.ada,
            scheme_issue=scheme or self.straight,
            assessor=by or self.cast.olga,
            sheet=sheet(**changes),
            at=AT,
            on=ON,
        )


def lay(cast: Cast) -> Ground:
    """Load both schemes; Ada is ready, Olga and Tess may assess, Tess trained Ada, Dora may decide."""
    module = Module.objects.create(slug="setup")
    revision = Revision.objects.create(
        module=module, number=1, language="en", title="Setting up", order=1, body={"steps": []}, digest="0" * 64,
        changed="First issue.", loaded_at=noon(START),
    )  # fmt: skip
    specs = [
        scheme_spec(slug="straight", title="Rail bonds"),
        scheme_spec(slug="separate", title="Test leads", decision=Decided.SEPARATE),
    ]
    load(specs, checks=CHECKS, at=noon(START))
    ground = Ground(cast, revision, current_issue("straight"), current_issue("separate"))
    ground.ready(cast.ada)
    ground.allow(cast.olga, Act.ASSESSES)
    ground.allow(cast.tess, Act.ASSESSES)
    ground.allow(cast.tess, Act.TRAINS)
    ground.allow(cast.dora, Act.DECIDES)
    ground.train(cast.tess, cast.ada)
    return ground


def bond(**changes: Any) -> Bond:
    """Return a good bond: 60 micro-ohm by both polarities, a full pack."""
    facts: dict[str, Any] = {
        "pin_lot": "L-7", "pack_v": Decimal("39.6"), "visual_good": True, "hammer_good": True,
        "forward_uv": Decimal(730), "reversed_uv": Decimal(-470), "current_a": Decimal(10),
    }  # fmt: skip
    return Bond(**facts | changes)


def sheet(**changes: Any) -> Sheet:
    """Return a sheet that passes."""
    facts: dict[str, Any] = {
        "assessed_on": ON,
        "place": "Yard 3",
        "air_c": Decimal("-12"),
        "leads_in": True,
        "meter": "M-1",
        "calibrated_until": ON,
        "seen": frozenset(one.slug for one in CHECKS),
        "bonds": (bond(), bond(), bond()),
        "confirmed": True,
    }
    return Sheet(**facts | changes)


def typed(candidate: Person, /, *, bonds: int = 3, **changes: Any) -> dict[str, Any]:
    """Return a filled sheet as a browser sends it; a change to None leaves the field out.

    The later bonds leave empty what stays as it was.
    """
    facts: dict[str, Any] = {
        "act": "send", "key": str(uuid4()), "candidate": str(candidate.pk), "scheme": "straight", "issue": "1",
        "bonds": str(bonds), "pauses": "1", "replaces": "", "on_paper": "", "phone_time": AT.isoformat(),
        "assessed_on": ON.isoformat(), "place": "Yard 3", "started": "08:10", "stopped": "09:55",
        "volt_meter": "M-1", "volt_until": ON.isoformat(), "set_meter": "S-1", "set_until": ON.isoformat(),
        "spare_meter": "", "spare_until": "", "remarks": "", **{f"check_{one.slug}": "on" for one in CHECKS},
        "bond_1_air_c": "−12,5", "bond_1_cell_c": "4", "bond_1_leads": "in", "bond_1_pin_lot": "L-7",
        "bond_1_burn": "flush", "bond_1_current_a": "10 A",
    }  # fmt: skip
    for n in range(1, bonds + 1):
        facts |= {
            f"bond_{n}_spot": str(n), f"bond_{n}_pack_v": "39,6", f"bond_{n}_meter": "volt",
            **{f"bond_{n}_look_{look.value}": "on" for look in Look}, f"bond_{n}_hammer_good": "on",
            f"bond_{n}_forward_uv": "730", f"bond_{n}_reversed_uv": "470", f"bond_{n}_reversed_below": "on",
            f"bond_{n}_again": "first",
        }  # fmt: skip
    return {name: value for name, value in (facts | changes).items() if value is not None}


def raw(by: Person, fields: dict[str, Any], *, phone_time: str = AT.isoformat()) -> bytes:
    """Return a filled sheet as a phone sends it."""
    return json.dumps({"made_by": by.pk, "phone_time": phone_time, "fields": fields}).encode()


def page(response: HttpResponse) -> str:
    """Return the words of a page, without its markup."""
    return " ".join(re.sub(r"<[^>]+>|&nbsp;", " ", response.content.decode()).split())


def sheet_url(person: Person, scheme: str = "straight", query: str = "") -> str:
    """Return the address of a candidate's sheet."""
    return reverse("signoffs:sheet", args=[person.pk, scheme]) + query
