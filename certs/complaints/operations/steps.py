"""What is done with a complaint: every step a new row and an entry of the ledger, nothing ever changed."""

import hashlib
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from certs.complaints import queries, rules
from certs.complaints.models import REFUSAL_WORDS, TIE_WORDS, Complaint, ComplaintStep
from certs.complaints.rules import Finding, Step
from training.ledger.operations import NOBODY, write
from training.people.models import Person

# These may be done by whoever took the complaint, whatever ties them by now.
UNTIED = {Step.LAID_DOWN, Step.PUT_RIGHT, Step.SIDE}


class OutOfTurn(ValueError):
    """As the complaint stands, that cannot be done; the message is a sentence that says what to do."""


class Involved(ValueError):
    """This person had a part in what is complained about; the message says which."""


@transaction.atomic
def take(*, complaint: Complaint, by: Person, on: date, at: datetime) -> ComplaintStep:
    """Take a complaint up, as somebody who had no part in it; pressed twice it is one. Raises OutOfTurn, Involved.

    One whose handler's account was closed is free again.
    """
    held = _locked(complaint)
    if rules.handler(queries.past_of(held)) == by.pk:
        return next(one for one in reversed(held.steps.all()) if one.step == Step.TAKEN)
    _in_turn(held, Step.TAKEN, by, on=on)
    _independent(held, by, on=on)
    return _written(held, Step.TAKEN, by=by, on=on, at=at)


@transaction.atomic
def add(
    *,
    complaint: Complaint,
    step: Step,
    text: str,
    by: Person,
    on: date,
    at: datetime,
    finding: Finding | None = None,
    asked: Person | None = None,
    reached: str = "",
    corrects: ComplaintStep | None = None,
) -> ComplaintStep:
    """Add a step in words; the same sent twice in a row is one. Raises OutOfTurn, Involved.

    A side is asked for up to a day; what comes after the closing only puts right what was written.
    """
    held = _locked(complaint)
    facts: dict[str, Any] = {"finding": finding or "", "asked": asked, "reached": reached, "corrects": corrects}
    last = held.steps.all()[len(held.steps.all()) - 1] if held.steps.all() else None
    same = {"step": step, "text": text, "by": by, **facts}
    if last is not None and all(getattr(last, name) == value for name, value in same.items()):
        return last
    _in_turn(held, step, by, finding=finding, on=on)
    if step not in UNTIED:
        _independent(held, by, on=on)
    if step is Step.ASKED:
        facts["until"] = on + timedelta(days=rules.SIDE_DAYS)
    return _written(held, step, text=text, by=by, on=on, at=at, **facts)


def _locked(complaint: Complaint) -> Complaint:
    Complaint.objects.select_for_update().get(pk=complaint.pk)
    # Read after the lock: what a waiting query joined before it is as old as the wait.
    return queries.complaints().get(pk=complaint.pk)


def _in_turn(held: Complaint, step: Step, by: Person, *, finding: Finding | None = None, on: date) -> None:
    """Raise OutOfTurn where that step cannot be done as the complaint stands."""
    gone, against = queries.is_gone(held), held.of_id is not None
    past = queries.past_of(held)
    found = rules.refusal(step, past, by=by.pk, on=on, finding=finding, against=against, gone=gone)
    if found is not None:
        raise OutOfTurn(str(REFUSAL_WORDS[found]))


def _independent(held: Complaint, by: Person, *, on: date) -> None:
    """Raise Involved where something ties a person to a complaint."""
    tied = queries.ties_of(queries.known_of(by, on=on), held, on=on)
    if tied:
        raise Involved(" ".join(str(TIE_WORDS[one]) for one in tied))


def _written(held: Complaint, step: Step, *, by: Person, on: date, at: datetime, **facts: Any) -> ComplaintStep:
    made = ComplaintStep.objects.create(complaint=held, step=step, by=by, on=on, at=at, **facts)
    digest = hashlib.sha256(made.text.encode()).hexdigest()
    about = {"complaint": held.pk, "step": made.pk, "digest": digest} | (
        {"found": made.finding} if made.finding else {}
    )
    # Who was asked for their side is not for everyone who reads the ledger.
    write(by=NOBODY if step is Step.SIDE else by.pk, act=f"complaint {step}", about=about, at=at)
    return made
