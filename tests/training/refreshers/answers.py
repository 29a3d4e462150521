"""Answers to a drill, and drills answered in the past."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from django.utils.timezone import make_aware

from tests.training.bridges.answers import right
from training.people.models import Person
from training.refreshers import operations
from training.refreshers.models import Drill
from training.refreshers.rules import Outcome

__all__ = ["answered", "noon", "right", "sent"]


def noon(day: date) -> datetime:
    """Return midday, UTC."""
    return make_aware(datetime.combine(day, time(12)))


def answered(person: Person, topic: str, on: date, outcome: Outcome = Outcome.RIGHT) -> Drill:
    """Save a drill that was answered on a day, without going over its questions."""
    facts = {
        "seed": "s",
        "keys": [],
        "asked": [],
        "opened_at": noon(on),
        "answered_at": noon(on) + timedelta(minutes=2),
    }
    return Drill.objects.create(person=person, topic=topic, on=on, outcome=outcome, **facts)


def sent(answers: Mapping[int, Mapping[str, Any]], drill: Drill) -> dict[str, Any]:
    """Return answers under the names the browser sends."""
    fields = {f"q{place}-{name}": value for place, parts in answers.items() for name, value in parts.items()}
    return {"drill": str(drill.pk)} | fields


def answer_right(drill: Drill, *, at: datetime, helped: bool = False) -> Drill:
    """Answer every question rightly."""
    return operations.answer(drill=drill, answers=right(drill), helped=helped, at=at)
