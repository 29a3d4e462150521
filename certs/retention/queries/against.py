"""Until when evidence has to stay, and what stands against erasing a name."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Max, Q, QuerySet
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards.models import Card
from certs.complaints.queries import open_about
from certs.retention.rules import term_over
from certs.schemes.queries import spec
from certs.signoffs.models import ReceivedSheet, Signoff
from certs.signoffs.queries import open_exceptions
from training.amendments.models import Amendment
from training.bank.models import Correction
from training.ledger.models import Entry
from training.people.models import Person
from training.quizzes.models import Sitting
from training.reviews.models import Appeal


def is_erased(person: Person) -> bool:
    """Say whether what named this person was erased: the ledger tells."""
    return Entry.objects.filter(act="person erased", about__person=person.pk).exists()


def evidence_until(person: Person) -> date | None:
    """Return the last day on which the evidence on a person has to stay; None where there is none."""
    held = Card.objects.filter(person=person).select_related("scheme_issue")
    days = [(card.last_day, spec(card.scheme_issue).months) for card in held]
    moments = [
        person.sittings.aggregate(last=Max("opened_at"))["last"],
        person.signoffs.aggregate(last=Max("signed_at"))["last"],
        person.readings.aggregate(last=Max("read_at"))["last"],
    ]
    return term_over(days, max((moment.date() for moment in moments if moment), default=None))


def against(person: Person, *, on: date, at: datetime) -> list[str]:
    """Return what stands against erasing, each a sentence that says what to do."""
    found = []
    if person.is_active:
        found.append(_("The account is open. Close it first."))
    in_force = Card.objects.filter(closed_at=None, last_day__gte=on)
    for card in in_force.filter(person=person):
        words = _("Card %(number)s is in force until %(day)s. Withdraw it, or wait.")
        found.append(words % {"number": card.number, "day": date_format(card.last_day)})
    rests = in_force.filter(Q(evidence__assessor=person) | Q(evidence__decision__by=person) | Q(issued_by=person))
    if count := rests.exclude(person=person).distinct().count():
        words = _("%(count)d cards in force rest on what this person signed. Wait until they have ended.")
        found.append(words % {"count": count})
    return found + [sentence for cases, sentence in _cases(person, at) if cases.exists()]


@dataclass(frozen=True, slots=True)
class ToErase:
    """What an administrator sees before erasing: what stands against it, and until when evidence has to stay."""

    erased: bool
    against: list[str]
    until: date | None
    over: bool


def to_erase(person: Person, *, on: date, at: datetime) -> ToErase:
    """Return what there is to know before what names a person is erased."""
    until = evidence_until(person)
    return ToErase(is_erased(person), against(person, on=on, at=at), until, until is None or until < on)


def _cases(person: Person, at: datetime) -> list[tuple[QuerySet[Any], str]]:
    waiting = Signoff.objects.filter(person=person, passed=True, decision=None, cards=None, replaced_by=None)
    return [
        (Appeal.objects.filter(candidate=person, answered_at=None), _("A question about a mark is not answered yet.")),
        (open_about(person), _("A complaint is not answered yet.")),
        (Sitting.objects.filter(person=person, handed_in_at=None, due_at__gte=at), _("A paper is being sat.")),
        (waiting, _("A practical is signed and waits for the decision.")),
        (
            ReceivedSheet.objects.filter(candidate=person, signoff=None, do_again=None),
            _("A sheet of a practical is neither signed nor sent back."),
        ),
        (
            open_exceptions().filter(Q(candidate=person) | Q(assessor=person)),
            _("An exception for an assessor waits for a third person."),
        ),
        (Correction.objects.filter(proposed_by=person, decided_at=None), _("A correction of a key is not decided.")),
        (
            Amendment.objects.filter(author=person, proposed_at__isnull=False, decided_at=None),
            _("An amendment of a procedure is not decided."),
        ),
    ]
