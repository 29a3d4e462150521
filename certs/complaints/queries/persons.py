"""Who may handle which complaint, and as whom somebody sees it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet

from certs.agreement.models import SecondMarking
from certs.cards.models import Card, Measure
from certs.cards.rules import Ground
from certs.cards.rules import Step as CardStep
from certs.complaints import rules
from certs.complaints.models import Complaint
from certs.complaints.queries.loading import past_of
from certs.complaints.rules import Eyes, Part, Step, Tie
from certs.signoffs.models import Decision, Signoff
from certs.signoffs.queries import Ties, ties
from training.people.models import Person, RoleHeld
from training.people.rules import Role
from training.quizzes.models import Admission


@dataclass(frozen=True, slots=True)
class Known:
    """What ties one person to people and schemes; of decisions about cards with their moments, by (holder, scheme)."""

    person: Person
    is_administrator: bool
    ties: Ties
    assessed_again: frozenset[tuple[int, int]]
    examined: frozenset[int]
    decided: tuple[tuple[int, int, datetime], ...]


def administrators(*, on: date) -> QuerySet[Person]:
    """Return the administrators of the certification body on a day: who may suspend a card may handle a complaint."""
    held = RoleHeld.objects.in_force_on(on).filter(role=Role.ADMINISTRATOR)
    return Person.objects.filter(pk__in=held.values("person"), employer__is_body=True, is_active=True).order_by("pk")


def nameable(person: Person, *, on: date) -> QuerySet[Person]:
    """Return whom a complaint may name from a list: who trains or administers for the body, and own supervisors."""
    held = RoleHeld.objects.in_force_on(on)
    body = Q(pk__in=held.filter(role__in=[Role.TRAINER, Role.ADMINISTRATOR]).values("person"), employer__is_body=True)
    own = Q(pk__in=held.filter(role=Role.SUPERVISOR).values("person"), employer=person.employer_id)
    return Person.objects.filter(body | own, is_active=True).exclude(pk=person.pk).order_by("name", "pk")


def known_of(person: Person, *, on: date) -> Known:
    """Load what ties a person to everyone else's cards; without the role nothing more is asked."""
    if not administrators(on=on).filter(pk=person.pk).exists():
        return Known(person, False, Ties(frozenset(), {}, frozenset()), frozenset(), frozenset(), ())
    again = SecondMarking.objects.filter(assessor=person)
    let_in = Admission.objects.filter(invigilator=person)
    return Known(
        person=person,
        is_administrator=True,
        ties=ties(person, on=on),
        assessed_again=frozenset(again.values_list("candidate", "signoff__scheme_issue__scheme")),
        examined=frozenset(let_in.values_list("person", flat=True)),
        decided=tuple(_decided(person)),
    )


def _decided(person: Person) -> Iterable[tuple[int, int, datetime]]:
    """Yield what a person decided about cards; a lost card's new number decides nothing about its holder."""
    yield from Decision.objects.filter(by=person).values_list("signoff__person", "signoff__scheme_issue__scheme", "at")
    measures = Measure.objects.filter(by=person).exclude(step=CardStep.REPLACED)
    yield from measures.values_list("card__person", "card__scheme", "at")
    issued = Card.objects.filter(issued_by=person).exclude(ground=Ground.LOST)
    yield from issued.values_list("person", "scheme", "issued_at")


def ties_of(known: Known, complaint: Complaint, *, on: date) -> tuple[Tie, ...]:
    """Return what keeps a person from handling a complaint loaded through `complaints`; one query at most."""
    return rules.ties(_part(known, complaint, on=on))


def _part(known: Known, complaint: Complaint, *, on: date) -> Part:
    card, person = complaint.card, known.person
    # The one whose card it is, or who complains of their own training, assessment or treatment.
    subject = card.person_id if card else complaint.complainant_id
    scheme = card.scheme_id if card else None

    def about(who: int, which: int) -> bool:
        return who == subject and scheme in {None, which}

    trained = [last for (who, which), last in known.ties.trained.items() if about(who, which)]
    assessed = known.ties.assessed | known.assessed_again
    asked = {one.asked for one in past_of(complaint) if one.step is Step.ASKED}
    return Part(
        is_complainant=complaint.complainant_id == person.pk,
        is_complained_of=person.pk in {complaint.of_id, *asked} or rules.names(complaint.who, person.name),
        is_active=person.is_active,
        is_administrator=known.is_administrator,
        trained_to=max(trained, default=None),
        assessed=any(about(*pair) for pair in assessed),
        examined=subject in known.examined,
        # What is done to the card because of the complaint ties nobody.
        decided=any(about(who, which) and at < complaint.received_at for who, which, at in known.decided),
        acted_on=_acted_on(complaint, on=on) if trained else on,
    )


def _acted_on(complaint: Complaint, *, on: date) -> date:
    """Return the day of the practical that is in question: under the card, or the last one of who complains."""
    if complaint.card:
        return complaint.card.evidence.assessed_on
    signed = Signoff.objects.filter(person=complaint.complainant_id, signed_at__lte=complaint.received_at)
    return signed.order_by("-assessed_on").values_list("assessed_on", flat=True).first() or on


def eyes_of(known: Known, complaint: Complaint, *, on: date) -> tuple[Eyes | None, tuple[Tie, ...]]:
    """Return as whom a person sees a complaint loaded through `complaints`, and what keeps them from handling it."""
    past, found = past_of(complaint), ties_of(known, complaint, on=on)
    seen = rules.eyes(
        is_complainant=Tie.COMPLAINANT in found,
        was_asked=any(one.asked == known.person.pk for one in past),
        is_handler=known.is_administrator and rules.handler(past) == known.person.pk,
        found=found,
    )
    return seen, found


def able(complaint: Complaint, everyone: Iterable[Known], *, on: date) -> list[Person]:
    """Return those of some people whom nothing ties to a complaint loaded through `complaints`."""
    return [one.person for one in everyone if not ties_of(one, complaint, on=on)]


def able_ones(complaint: Complaint, *, on: date) -> list[Person]:
    """Return the administrators whom nothing ties to a complaint loaded through `complaints`."""
    return able(complaint, [known_of(one, on=on) for one in administrators(on=on)], on=on)


def askable(complaint: Complaint, by: Person, *, on: date) -> QuerySet[Person]:
    """Return whose side may be asked for: who is complained of, and whom the complaint might have named."""
    near = nameable(complaint.complainant or by, on=on)
    found = Person.objects.filter(Q(pk__in=near.values("pk")) | Q(pk=complaint.of_id))
    return found.exclude(pk__in=[by.pk, complaint.complainant_id or by.pk]).order_by("name", "pk")
