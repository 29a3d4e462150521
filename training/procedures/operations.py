"""Loading revisions, answering at hold points, and recording that somebody read one."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import transaction

from training.bank import rules as bank
from training.bank.operations import AskAgain, missing, problems
from training.bank.queries import drawn, told
from training.content.demands import DemandSpec
from training.content.mistakes import ContentErrors, Mistake
from training.content.procedures import ModuleSpec
from training.content.tally import Tally
from training.ledger.operations import write
from training.people.models import Person
from training.procedures import queries, rules
from training.procedures.models import HoldAnswer, Module, Reading, Revision
from training.questions import marking

Answers = Mapping[int, Mapping[str, Any]]


class Superseded(Exception):
    """The revision is no longer the one in force, so reading it does not count for the work."""


class Withdrawn(Exception):
    """The module is no longer in use."""


class HoldsOpen(Exception):
    """Questions at the hold points have still to be answered; `step` is the first of them."""

    def __init__(self, step: str) -> None:
        """Keep the step."""
        self.step = step
        super().__init__(step)


class OutOfTurn(Exception):
    """The question was answered already, perhaps on another page, or it is not asked there any more."""


@transaction.atomic
def load(specs: Iterable[ModuleSpec], *, at: datetime) -> Tally:
    """Bring the modules in line with the files: a changed text becomes a new revision, a missing one is retired.

    Raises ContentErrors, loading nothing, where the files do not hold what was revised on the site.
    """
    specs, refused = list(specs), list[Mistake]()
    tally = sum((_load_one(spec, refused, at=at) for spec in specs), Tally())
    gone = Module.objects.filter(retired_at=None).exclude(slug__in=[spec.slug for spec in specs])
    # A folder taken away must not take a text with it that stands nowhere else.
    refused += [_unwritten(one) for one in queries.in_force().filter(module__in=gone, awaits_file=True)]
    if refused:
        raise ContentErrors(refused)
    return tally + Tally(retired=gone.update(retired_at=at))


def _load_one(spec: ModuleSpec, refused: list[Mistake], *, at: datetime) -> Tally:
    module, is_new = Module.objects.select_for_update(no_key=True).get_or_create(slug=spec.slug)
    latest = module.revisions.order_by("-number").first()
    if latest is not None and latest.awaits_file:
        if not rules.same_text(latest.body, spec.as_json()):
            refused.append(_unwritten(latest))
            return Tally()
        latest.awaits_file = False
        latest.save(update_fields=["awaits_file"])
    same = latest is not None and latest.digest == spec.digest
    if same and module.retired_at is None:
        return Tally(unchanged=1)
    if module.retired_at is not None:
        module.retired_at = None
        module.save(update_fields=["retired_at"])
    if not same:
        _add_revision(module, spec, number=latest.number + 1 if latest else 1, at=at)
    return Tally(new=1) if is_new else Tally(revised=1)


def _unwritten(revision: Revision) -> Mistake:
    slug = revision.module.slug
    reason = f"was revised on the site as revision {revision.number}: write it out to the file first"
    return Mistake(f"{slug}/procedure.toml", slug, reason)


@transaction.atomic
def revise(*, base: Revision, spec: ModuleSpec, at: datetime) -> Revision:
    """Put a revision that was written on the site in force after `base`. Raises Superseded or Withdrawn."""
    module = Module.objects.select_for_update(no_key=True).get(pk=base.module_id)
    if module.retired_at is not None:
        raise Withdrawn
    if module.revisions.filter(number__gt=base.number).exists():
        raise Superseded
    return _add_revision(module, spec, number=base.number + 1, at=at, awaits_file=True)


def _add_revision(
    module: Module, spec: ModuleSpec, *, number: int, at: datetime, awaits_file: bool = False
) -> Revision:
    return module.revisions.create(
        number=number,
        language=spec.language,
        title=spec.title,
        order=spec.order,
        body=spec.as_json(),
        digest=spec.digest,
        changed=spec.changed,
        loaded_at=at,
        awaits_file=awaits_file,
        # Whoever meets a module for the first time reads all of it anyway.
        **(_asked(spec.revision, at=at) if spec.revision and number > 1 else {}),
    )


def _asked(spec: DemandSpec, *, at: datetime) -> dict[str, Any]:
    """Return the columns of a demand; its last day is frozen with the text."""
    if spec.within_days is None:
        return {}
    due_on = rules.due_on(at, within_days=spec.within_days)
    return {"demand": spec.demand, "due_on": due_on, "overdue": spec.overdue, "questions": list(spec.questions)}


@transaction.atomic
def answer_hold(
    *, person: Person, revision: Revision, step: str, version: int, turn: int, answers: Answers, at: datetime
) -> HoldAnswer:
    """Take the answer to a question at a hold point: `version` and `turn` as they were on the page.

    `answers` go by place on the page and part, the place being the only one. Raises Superseded, Withdrawn, OutOfTurn,
    or AskAgain when the answer is empty or cannot be read, keeping nothing.
    """
    # The person's row is the turnstile: two taps on the button are one try.
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    _must_be_in_force(revision)
    holds, versions = queries.standing(revision, person=person)
    hold = next((one for one in holds if one.ask.step == step and versions[one.ask.key].pk == version), None)
    if hold is None or not hold.is_open or hold.turn != turn:
        raise OutOfTurn
    item = drawn(versions[hold.ask.key], seed=rules.seed(person.pk, hold.ask, turn=turn))
    (position, sent), *_none = answers.items()
    given = bank.tidy(item.shown()["parts"], sent)
    # A press on the button alone is no try: it would be told the right answer.
    unread = (*missing(position, item, given), *problems(position, item, given))
    if unread:
        raise AskAgain(unread)
    marks = marking.mark(item, bank.responses(given))
    return HoldAnswer.objects.create(
        person=person,
        revision=revision,
        step=step,
        words=hold.ask.words,
        question_version=versions[hold.ask.key],
        turn=turn,
        given=given,
        told=asdict(told(item.shown(), item.key(), marks)),
        is_right=bank.all_right([mark.share for mark in marks]),
        answered_at=at,
    )


def _must_be_in_force(revision: Revision) -> None:
    if revision.module.retired_at is not None:
        raise Withdrawn
    if revision.module.revisions.filter(number__gt=revision.number).exists():
        raise Superseded


@transaction.atomic
def record_reading(*, person: Person, revision: Revision, at: datetime) -> Reading:
    """Record that a person read the revision in force; a second time changes nothing.

    Raises Superseded, Withdrawn, or HoldsOpen while a question at a hold point has not been answered rightly.
    """
    _must_be_in_force(revision)
    holds, _versions = queries.standing(revision, person=person)
    waits = rules.next_open(holds)
    if waits is not None:
        raise HoldsOpen(waits.ask.step)
    reading, is_new = Reading.objects.get_or_create(person=person, revision=revision, defaults={"read_at": at})
    if is_new:
        write(by=person.pk, act="procedure read", about={"revision": revision.pk}, at=at)
    return reading
