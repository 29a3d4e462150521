"""Asking a trainer to come, answering, asking another one, calling off. Acceptance and refusal stand in the ledger."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from django.db import transaction
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.schemes.models import SchemeIssue
from certs.schemes.queries import last_training, may
from certs.schemes.rules import Act
from certs.signoffs.rules import too_near
from certs.visits import queries, rules
from certs.visits.models import Visit, VisitRefusal, VisitStep
from certs.visits.rules import Objection
from training.ledger.operations import write
from training.people.models import Employer, Person

SENTENCES: Mapping[Objection, tuple[str, str | Promise]] = {
    Objection.PAST: ("on", gettext_lazy("That day is over. Give today or a later day.")),
    Objection.NOBODY: ("people", gettext_lazy("Choose at least one person whom the visit is for.")),
    Objection.ELSEWHERE: ("people", gettext_lazy("Choose people of one employer: the one the visit is asked for.")),
    Objection.MAY_NOT: (
        "trainer",
        gettext_lazy("This trainer may not assess under the scheme on that day. Choose another."),
    ),
    Objection.TRAINED: (
        "trainer",
        gettext_lazy(
            "This trainer trained %(trained)s within 24 months of that day, and may not judge them."
            " Choose another trainer, or leave them out."
        ),
    ),
    Objection.DECLINED: ("trainer", gettext_lazy("This trainer has declined this visit already. Choose another.")),
    Objection.TWICE: (
        "people",
        gettext_lazy(
            "Under this scheme there is a visit already for %(busy)s. Call that one off first, or leave them out."
        ),
    ),
}


class VisitRefused(ValueError):
    """The visit cannot be asked for; `sentences` are pairs of a field and what to do about it."""

    def __init__(self, sentences: Sequence[tuple[str, str]]) -> None:
        super().__init__(" ".join(words for _field, words in sentences))
        self.sentences = sentences


class NotOpen(ValueError):
    """The visit is over or not to be; the message is a sentence."""


@transaction.atomic
def ask(
    *,
    employer: Employer,
    issue: SchemeIssue,
    trainer: Person,
    people: Sequence[Person],
    visit_on: date,
    place: str,
    by: Person,
    at: datetime,
    on: date,
) -> Visit:
    """Ask a trainer to come; what each person does there is taken from their record. Raises VisitRefused."""
    trained = [last_training(trainer, one, issue.scheme) for one in people]
    busy = queries.busy({one.pk for one in people}, issue.scheme_id, on=on)
    found = rules.objections(
        visit_on=visit_on,
        people=len(people),
        elsewhere=any(one.employer_id != employer.pk for one in people),
        may_assess=may(trainer, issue.scheme, Act.ASSESSES, visit_on),
        trained_to=trained,
        twice=bool(busy),
        on=on,
    )
    _refuse(found, people, trained, busy, visit_on=visit_on)
    visit = Visit.objects.create(
        employer=employer, scheme=issue.scheme, trainer=trainer, on=visit_on, place=place, asked_by=by, asked_at=at
    )
    asked = queries.steps_at(people, issue, on=on, at=at)
    VisitStep.objects.bulk_create(
        VisitStep(visit=visit, person=one, step=step) for one in people for step in asked[one.pk]
    )
    return visit


@transaction.atomic
def offer(*, visit: Visit, trainer: Person, by: Person, at: datetime, on: date) -> Visit:
    """Ask another trainer to come in the place of one who declined; that refusal stays with the visit.

    Day, place and people are as they were. Raises NotOpen for a visit that nobody declined, and VisitRefused.
    """
    held = Visit.objects.select_for_update().get(pk=visit.pk)
    if held.accepted is not False or held.called_off_at is not None:
        raise NotOpen(_("Only a visit that was declined is offered to another trainer."))
    people = list(Person.objects.filter(visit_steps__visit=held).distinct())
    trained = [last_training(trainer, one, held.scheme) for one in people]
    busy = queries.busy({one.pk for one in people}, held.scheme_id, on=on)
    found = rules.objections(
        visit_on=held.on,
        people=len(people),
        elsewhere=False,
        may_assess=may(trainer, held.scheme, Act.ASSESSES, held.on),
        trained_to=trained,
        twice=bool(busy),
        on=on,
        declined=trainer.pk in queries.declined_by(held),
    )
    _refuse(found, people, trained, busy, visit_on=held.on)
    VisitRefusal.objects.create(visit=held, trainer=held.trainer, reason=held.reason, answered_at=held.answered_at)
    held.trainer, held.accepted, held.answered_at, held.reason = trainer, None, None, ""
    held.asked_by, held.asked_at = by, at
    held.save()
    return held


@transaction.atomic
def accept(*, visit: Visit, by: Person, at: datetime, on: date) -> Visit:
    """Say that the trainer comes; a second time changes nothing. Raises NotOpen."""
    held = _open(visit, on=on)
    if not held.accepted:
        held.accepted, held.answered_at = True, at
        held.save(update_fields=["accepted", "answered_at"])
        write(by=by.pk, act="visit accepted", about=_about(held), at=at)
    return held


@transaction.atomic
def decline(*, visit: Visit, reason: str, by: Person, at: datetime, on: date) -> Visit:
    """Say that the trainer does not come, and why; also after having accepted. Raises NotOpen."""
    held = _open(visit, on=on)
    held.accepted, held.answered_at, held.reason = False, at, reason
    held.save(update_fields=["accepted", "answered_at", "reason"])
    write(by=by.pk, act="visit declined", about=_about(held), at=at)
    return held


@transaction.atomic
def call_off(*, visit: Visit, by: Person, at: datetime, on: date) -> Visit:
    """Say that the visit is not to be. Raises NotOpen."""
    held = _open(visit, on=on)
    held.called_off_at = at
    held.save(update_fields=["called_off_at"])
    write(by=by.pk, act="visit called off", about=_about(held), at=at)
    return held


def _open(visit: Visit, *, on: date) -> Visit:
    """Load a visit that is still to come, held against others who answer at the same time."""
    held = Visit.objects.select_for_update().get(pk=visit.pk)
    stands = rules.standing(
        visit_on=held.on, accepted=held.accepted, called_off=held.called_off_at is not None, left=1, on=on
    )
    if not stands.is_open:
        raise NotOpen(_("This visit is over, declined or called off already. Ask for another one."))
    return held


def _about(visit: Visit) -> dict[str, object]:
    return {
        "visit": visit.pk,
        "trainer": visit.trainer_id,
        "on": visit.on.isoformat(),
        "people": sorted(set(visit.steps.values_list("person", flat=True))),
    }


def _refuse(
    found: Sequence[Objection],
    people: Sequence[Person],
    trained: Sequence[date | None],
    busy: Sequence[str],
    *,
    visit_on: date,
) -> None:
    """Raise VisitRefused with a sentence for each objection that names whom it is about; with none do nothing."""
    near = [one.name for one, last in zip(people, trained, strict=True) if too_near(last, on=visit_on)]
    names = {"trained": ", ".join(near), "busy": ", ".join(busy)}
    if found:
        raise VisitRefused([(field, str(words) % names) for field, words in (SENTENCES[one] for one in found)])
