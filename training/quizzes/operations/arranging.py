"""What is settled before a sitting: more time, retraining, who confirmed an identity; and what was seen elsewhere."""

from collections.abc import Collection
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from training.bank.models import Question
from training.ledger.operations import write
from training.people.models import Person
from training.people.queries import roles_on
from training.people.rules import Role
from training.quizzes.models import Accommodation, Admission, Paper, Retraining, Seen


class NotArranged(Exception):
    """Nothing was put on record; the sentence says why."""


@transaction.atomic
def accommodate(
    *, person: Person, paper: Paper, factor: Decimal, break_minutes: int, reason: str, by: Person, at: datetime
) -> Accommodation:
    """Settle a person's time on a paper; it holds for sittings opened from now on. Raises NotArranged."""
    if person.pk == by.pk:
        raise NotArranged(_("Nobody decides about their own time: ask another trainer."))
    if person.sittings.filter(paper=paper, handed_in_at__isnull=True).exists():
        raise NotArranged(_("This person has the paper open: time is settled before a sitting, never during one."))
    settled = Accommodation.objects.create(
        person=person, paper=paper, factor=factor, break_minutes=break_minutes, reason=reason, decided_by=by,
        decided_at=at,
    )  # fmt: skip
    about = {"accommodation": settled.pk, "person": person.pk, "paper": paper.pk}
    write(by=by.pk, act="time on a paper settled", about=about, at=at)
    return settled


@transaction.atomic
def record_retraining(
    *, person: Person, paper: Paper, ended_on: date, by: Person, at: datetime, on: date
) -> Retraining:
    """Put on record that a person was trained again for a paper; a second time changes nothing. Raises NotArranged."""
    if person.pk == by.pk:
        raise NotArranged(_("Nobody states their own retraining: ask another trainer."))
    if ended_on > on:
        raise NotArranged(_("Give a day that is not in the future: training is recorded when it is done."))
    retraining, is_new = Retraining.objects.get_or_create(
        person=person, paper=paper, ended_on=ended_on, defaults={"said_by": by, "recorded_at": at}
    )
    if is_new:
        about = {"retraining": retraining.pk, "person": person.pk, "paper": paper.pk}
        write(by=by.pk, act="retraining recorded", about=about, at=at)
    return retraining


@transaction.atomic
def admit(*, admission: Admission, by: Person, trained: bool, at: datetime, on: date) -> Admission:
    """Confirm who a waiting candidate is; a second time changes nothing. Raises NotArranged.

    `trained` says that `by` trained the candidate lately. `on` is the local day of `by`.
    """
    live = Admission.objects.select_for_update().get(pk=admission.pk)
    if live.person_id == by.pk:
        raise NotArranged(_("Nobody confirms their own identity."))
    if Role.TRAINER not in roles_on(by, on=on):
        raise NotArranged(_("Only a trainer can confirm who sits down."))
    if trained:
        raise NotArranged(_("You trained this candidate: another trainer confirms who sits down."))
    if live.sitting_id is None:
        # A server clock set back in between may not break the record.
        live.invigilator, live.admitted_at = by, max(at, live.agreed_at)
        live.save(update_fields=["invigilator", "admitted_at"])
        about = {"admission": live.pk, "person": live.person_id, "paper": live.paper_id}
        write(by=by.pk, act="identity confirmed", about=about, at=at)
    return live


def note_seen(*, person: Person, questions: Collection[Question], on: date) -> None:
    """Note that a person saw questions outside an examination on a local day; again changes nothing."""
    rows = [Seen(person=person, question=question, on=on) for question in questions]
    Seen.objects.bulk_create(rows, ignore_conflicts=True)
