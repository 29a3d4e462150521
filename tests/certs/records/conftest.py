"""The day of the cast, and what a crew member has to read and to sit."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import pytest
import time_machine

from certs.schemes.models import SchemeIssue
from tests.cast import AT
from tests.certs.factory import noon, scheme_issue
from training.people.models import Person
from training.procedures.models import Module, Reading, Revision
from training.quizzes.models import Paper, PaperIssue

LOADED = noon(date(2020, 1, 1))


@dataclass(frozen=True)
class Content:
    """One module, one paper and one scheme that asks for both."""

    module: Module
    revision: Revision
    paper: Paper
    issue: SchemeIssue

    def read_by(self, person: Person, *, on: date, revision: Revision | None = None) -> Reading:
        """Record that a person read the module on a day."""
        return Reading.objects.create(person=person, revision=revision or self.revision, read_at=noon(on))

    def revise(self, *, demand: str, overdue: str = "due") -> Revision:
        """Load a second revision on the day of the cast that asks for something within five days."""
        copied = {name: getattr(self.revision, name) for name in ("module", "language", "title", "order", "body")}
        asked = {"demand": demand, "overdue": overdue, "due_on": date(2026, 11, 30), "questions": ["one-1"]}
        return Revision.objects.create(number=2, digest="3" * 64, changed="c", loaded_at=AT, **copied, **asked)


@pytest.fixture(autouse=True)
def today() -> Iterator[None]:
    """Every page of these tests is read on the day of the cast."""
    with time_machine.travel(AT, tick=False):
        yield


@pytest.fixture
def content(db: None) -> Content:
    """What has to be done before the first card."""
    module = Module.objects.create(slug="setup")
    revision = Revision.objects.create(
        module=module,
        number=1,
        language="en",
        title="Setting up",
        order=1,
        body={"purpose": "p"},
        digest="1" * 64,
        changed="First issue.",
        loaded_at=LOADED,
    )
    paper = Paper.objects.create(slug="theory")
    body = {
        "minutes": 60,
        "passing": "4/5",
        "waits_days": [1, 7, 30],
        "language": "en",
        "cells": [{"topic": "setup", "level": "know", "count": 10}],
    }
    PaperIssue.objects.create(paper=paper, version=1, title="Theory", body=body, digest="2" * 64, loaded_at=LOADED)
    return Content(module, revision, paper, scheme_issue())
