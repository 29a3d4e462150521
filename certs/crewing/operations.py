"""Asking for a plan, making it step by step, changing it by hand, accepting it."""

import hashlib
import json
from datetime import date, datetime

from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.crewing.models import Plan, PlanTurn
from certs.crewing.queries import RULES, fault_words, first_of_runs, inputs, inputs_of, key_of, titles, turns_of
from certs.crewing.rules import Turn, check
from certs.crewing.rules.steps import Step, step, stretches
from certs.jobs.models import Job
from training.ledger.operations import write
from training.people.models import Employer, Person

# A step ends within the time a server lets a request take.
SECONDS = 15.0


class PlanRefused(ValueError):
    """The plan is not made, changed or accepted as asked; the message is a sentence."""


@transaction.atomic
def ask(*, employer: Employer, first_on: date, last_on: date, by: Person, at: datetime) -> Plan:
    """Begin a plan of an employer's jobs in a span of days. Raises PlanRefused where there is no job in it."""
    known = inputs(employer, first=first_on, last=last_on)
    if not known.jobs:
        raise PlanRefused(_("There is no open job on these days. Keep the jobs first."))
    steps = stretches(known.jobs, known.hands, first=first_on, last=last_on)
    return Plan.objects.create(
        employer=employer, first_on=first_on, last_on=last_on, mark=known.mark, by=by, asked_at=at, of=len(steps)
    )


def advance(*, plan: Plan) -> Plan:
    """Make the next step. A plan that is stopped or made, or that somebody else moved on, stays as it is.

    Raises PlanRefused when jobs, cards or days away have changed since it was asked for.
    """
    if plan.is_made or plan.stopped_at is not None:
        return plan
    known = inputs_of(plan)
    if known.mark != plan.mark:
        raise PlanRefused(_("Jobs, cards or days away have changed since this plan was begun. Ask for a new one."))
    stretch = stretches(known.jobs, known.hands, first=plan.first_on, last=plan.last_on)[plan.steps]
    # Before the transaction: it takes a while, and on SQLite it would keep every other writer waiting.
    found = step(known.jobs, known.hands, turns_of(plan), stretch=stretch, rules=RULES, seconds=SECONDS)
    with transaction.atomic():
        held = Plan.objects.select_for_update().get(pk=plan.pk)
        if held.stopped_at is None and held.steps == plan.steps:
            _keep(held, found)
    return held


@transaction.atomic
def stop(*, plan: Plan, at: datetime) -> None:
    """Stop making a plan; what is planned of it stays, and it can go on from there."""
    _locked_open(plan)
    Plan.objects.filter(pk=plan.pk).update(stopped_at=at)


@transaction.atomic
def resume(*, plan: Plan) -> None:
    """Let a stopped plan go on."""
    _locked_open(plan)
    Plan.objects.filter(pk=plan.pk).update(stopped_at=None)


@transaction.atomic
def throw_away(*, plan: Plan) -> None:
    """Throw a plan away that is not accepted. Raises PlanRefused."""
    _locked_open(plan).delete()


@transaction.atomic
def change(*, plan: Plan, on: date, job: Job, scheme: str, before: Person | None, after: Person | None) -> None:
    """Give a place to another person, or to nobody. Raises PlanRefused with every hard rule that this would break."""
    held = _locked_open(plan)
    if not held.is_made:
        raise PlanRefused(_("This plan is not made yet. Let it be made, then change it."))
    if before == after:
        raise PlanRefused(_("That is how it is already. Choose somebody else, or go back."))
    turns = set(turns_of(held))
    kept = turns - ({Turn(on, str(job.pk), scheme, str(before.pk))} if before else set())
    new = {Turn(on, str(job.pk), scheme, str(after.pk))} if after else set()
    known = inputs_of(held)
    # What was wrong before is not this change's doing.
    old = set(check(sorted(turns), known.jobs, known.hands, rules=RULES))
    # As a list: the same turn once more is a second place on one day.
    faults = [one for one in check([*kept, *new], known.jobs, known.hands, rules=RULES) if one not in old]
    if faults:
        told = first_of_runs(faults)
        raise PlanRefused(" ".join(fault_words(one, known.called, known.hands, titles()) for one in told))
    if before is not None:
        held.turns.filter(on=on, job=job, scheme=scheme, person=before).delete()
    if after is not None:
        PlanTurn.objects.create(plan=held, on=on, job=job, scheme=scheme, person=after, by_hand=True)


@transaction.atomic
def accept(*, plan: Plan, by: Person, at: datetime) -> None:
    """Accept a plan that is made and breaks no rule as things stand now; the ledger says so. Raises PlanRefused."""
    held, known = _locked_open(plan), inputs_of(plan)
    if not held.is_made:
        raise PlanRefused(_("This plan is not made yet."))
    turns = turns_of(held)
    if check(turns, known.jobs, known.hands, rules=RULES):
        raise PlanRefused(_("This plan breaks rules as things stand now. Put right what stands on top of its page."))
    # Two plans of an employer accepted at once wait for one another here.
    Employer.objects.select_for_update().get(pk=held.employer_id)
    others = Plan.objects.filter(employer=held.employer_id, accepted_at__isnull=False)
    other = others.filter(first_on__lte=held.last_on, last_on__gte=held.first_on).order_by("first_on").first()
    if other is not None:
        says = _("The plan of %(day)s to %(until)s is accepted already for some of these days. Take it back first.")
        raise PlanRefused(says % {"day": date_format(other.first_on), "until": date_format(other.last_on)})
    held.accepted_at, held.accepted_by = at, by
    held.save(update_fields=["accepted_at", "accepted_by"])
    _write("plan accepted", held, turns, by=by, at=at)


@transaction.atomic
def take_back(*, plan: Plan, by: Person, at: datetime) -> None:
    """Take an accepted plan back: it can be changed again, or thrown away. The ledger says so."""
    held = Plan.objects.select_for_update().get(pk=plan.pk)
    if held.accepted_at is None:
        return
    held.accepted_at = held.accepted_by = None
    held.save(update_fields=["accepted_at", "accepted_by"])
    _write("plan taken back", held, turns_of(held), by=by, at=at)


def _keep(held: Plan, found: Step) -> None:
    PlanTurn.objects.bulk_create(
        PlanTurn(plan=held, on=turn.day, job_id=int(turn.job), scheme=turn.scheme, person_id=int(turn.hand))
        for turn in found.turns
    )
    held.steps += 1
    held.proven = held.proven and found.proven and held.of == 1
    held.hurried = held.hurried or found.hurried
    held.blocked |= {key_of(short): list(short.without) for short in found.short if short.without}
    held.save(update_fields=["steps", "proven", "hurried", "blocked"])


def _locked_open(plan: Plan) -> Plan:
    held = Plan.objects.select_for_update().get(pk=plan.pk)
    if held.accepted_at is not None:
        raise PlanRefused(_("This plan is accepted. Take it back first."))
    return held


def _write(act: str, plan: Plan, turns: tuple[Turn, ...], *, by: Person, at: datetime) -> None:
    text = json.dumps([[str(turn.day), turn.job, turn.scheme, turn.hand] for turn in turns])
    digest = hashlib.sha256(text.encode()).hexdigest()
    write(by=by.pk, act=act, about={"plan": str(plan.pk), "mark": plan.mark, "turns": digest}, at=at)
