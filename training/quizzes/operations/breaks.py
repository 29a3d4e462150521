"""Breaks that were settled before a sitting: they stop the clock for as long as break time is left."""

from datetime import datetime

from django.db import transaction

from training.ledger.operations import write
from training.quizzes import rules
from training.quizzes.models import Sitting
from training.quizzes.operations.handing_in import Closed, locked, mark


class NoBreak(Exception):
    """No break time was settled for this sitting, or none is left."""


def begin_break(*, sitting: Sitting, at: datetime) -> Sitting:
    """Stop the clock of an open sitting; one that stands still already stays so. Raises NoBreak or Closed."""
    with transaction.atomic():
        live = _open(sitting, at)
        if live.handed_in_at is None:
            if live.paused_at is None:
                if not live.break_left:
                    raise NoBreak
                live.paused_at = at
                live.save(update_fields=["paused_at"])
                _write(live, "break begun", at)
            return live
    raise Closed


def end_break(*, sitting: Sitting, at: datetime) -> Sitting:
    """Let the clock of a sitting run on; one that runs already stays so. Raises Closed."""
    with transaction.atomic():
        live = _open(sitting, at)
        if live.handed_in_at is None:
            if live.paused_at is not None:
                live.due_at = live.due(at)
                live.break_left -= rules.used(paused_at=live.paused_at, left=live.break_left, at=at)
                live.paused_at = None
                live.save(update_fields=["due_at", "break_left", "paused_at"])
                _write(live, "break ended", at)
            return live
    raise Closed


def _open(sitting: Sitting, at: datetime) -> Sitting:
    live = locked(sitting.pk)
    if live.handed_in_at is None and rules.overdue(due_at=live.due(at), at=at):
        mark(live, at=at)
    return live


def _write(sitting: Sitting, act: str, at: datetime) -> None:
    write(by=sitting.person_id, act=act, about={"sitting": str(sitting.pk)}, at=at)
