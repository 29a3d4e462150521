"""Putting a wrong key right: one person proposes, a second applies it, and every paper it touched is marked again."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.bank.models import Correction, QuestionVersion
from training.bank.queries import drawn
from training.ledger.operations import write
from training.people.models import Person
from training.questions.correcting import Change, Unmatched
from training.quizzes.operations import hold_back, mark_again
from training.reviews import rules
from training.reviews.queries import corrections as queries

FAULT_WORDS = {
    rules.Fault.NOTHING: gettext_lazy("Say what is right: tick at least one line, or give a width above nothing."),
    rules.Fault.EVERYTHING: gettext_lazy("If every line is right, nothing is asked: take the question out instead."),
    rules.Fault.PLACES: gettext_lazy("Give every line a place of its own, from 1 to the last."),
    rules.Fault.SAME: gettext_lazy("That is what the key says already. Change it, or go back."),
    rules.Fault.NARROW: gettext_lazy(
        "A narrower width would take marks from people who were close enough. Give a wider one."
    ),
}


class NotCorrected(Exception):
    """The correction cannot be proposed or decided like that; the message says what to do."""


class Outdated(NotCorrected):
    """The list of papers changed since it was looked at."""


def propose(*, version: QuestionVersion, change: Change, reason: str, by: Person, at: datetime) -> Correction:
    """Propose what is right instead; nothing is marked again yet. Raises NotCorrected."""
    with transaction.atomic():
        hold_back(version)
        if Correction.objects.filter(question_version=version, decided_at__isnull=True).exists():
            raise NotCorrected(_("A correction of this question waits already. Decide about that one first."))
        if queries.is_dropped(version):
            raise NotCorrected(_("This question was taken out: everyone has its mark already."))
        offer = next((one for one in queries.offers(version) if one.name == change.part), None)
        fault = rules.fault(change, offer)
        if fault is not None:
            raise NotCorrected(str(FAULT_WORDS[fault]))
        correction = Correction(
            question_version=version, change=change.as_json(), reason=reason, proposed_by=by, proposed_at=at
        )
        _tried(correction)
        correction.save()
        about = {"correction": correction.pk, "question version": version.pk, "change": change.as_json()}
        write(by=by.pk, act="correction proposed", about=about, at=at)
        return correction


def _tried(correction: Correction) -> None:
    """Prove that every paper can be marked by the new key, and a new one too. Raises NotCorrected."""
    try:
        queries.papers(correction)
        drawn(correction.question_version, seed="corrected", known=[Change.from_json(correction.change)])
    except Unmatched as error:
        words = _("“%(line)s” cannot be told apart on every paper. Take the question out instead.")
        raise NotCorrected(words % {"line": error.line}) from None


def apply(*, correction: Correction, digest: str, by: Person, at: datetime) -> Correction:
    """Apply a correction as a second person and mark every paper it touched again; sent twice it is done once.

    `digest` names the list of papers that was looked at. Raises NotCorrected, Outdated.
    """
    with transaction.atomic():
        version = QuestionVersion.objects.get(pk=correction.question_version_id)
        hold_back(version)
        held = (
            Correction.objects.select_related("question_version").select_for_update(of=("self",)).get(pk=correction.pk)
        )
        if held.applied and held.decided_by_id == by.pk:
            return held
        _may_decide(held, by)
        found = queries.papers(held)
        if queries.digest_of(found) != digest:
            raise Outdated(_("Another paper was handed in or marked since you looked. Look at the list again."))
        if any(one.sitting.person_id == by.pk for one in found):
            raise NotCorrected(_("Your own paper is among them, so another person applies this."))
        held.decided_by, held.decided_at, held.applied = by, at, True
        held.save(update_fields=["decided_by", "decided_at", "applied"])
        mark_again(papers=found, reason=held.reason, by=by, at=at, correction=held)
        turned = [str(one.sitting.pk) for one in found if one.turns]
        about = {"correction": held.pk, "question version": version.pk, "papers": len(found), "turned": turned}
        write(by=by.pk, act="correction applied", about=about, at=at)
        return held


def _may_decide(held: Correction, by: Person) -> None:
    if held.decided_at is not None:
        raise NotCorrected(_("This correction is decided already."))
    if held.proposed_by_id == by.pk:
        raise NotCorrected(_("Nobody applies their own correction. Ask a second person."))


def refuse(*, correction: Correction, reason: str, by: Person, at: datetime) -> Correction:
    """Leave the key as it is: a second person refuses, or who proposed it takes it back. Raises NotCorrected."""
    with transaction.atomic():
        held = Correction.objects.select_for_update().get(pk=correction.pk)
        if held.decided_at is not None:
            raise NotCorrected(_("This correction is decided already."))
        held.decided_by, held.decided_at, held.applied, held.refusal = by, at, False, reason
        held.save(update_fields=["decided_by", "decided_at", "applied", "refusal"])
        write(by=by.pk, act="correction refused", about={"correction": held.pk}, at=at)
        return held
