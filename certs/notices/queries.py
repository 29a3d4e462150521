"""Who is to be told what about which card, and has not been told yet."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db.models import Q
from django.utils.translation import gettext

from certs.cards.models import STEP_WORDS, Card, Measure
from certs.cards.queries import CardFace, cards, faces
from certs.cards.rules import Step, local_day
from certs.notices.models import Notice
from certs.notices.rules import FOR_SUPERVISORS, SENDS_OR_STOPS, STALE, Kind, coming
from training.people.models import Person, RoleHeld
from training.people.rules import Role, in_force

# Cards whose past is loaded at one go.
BATCH = 400


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to tell about a card; `act`, `by` and `words` are of a measure, `is_own` of the reader's own card."""

    card: Card
    face: CardFace
    kind: Kind
    due: date
    number: int = 0
    act: str = ""
    by: str = ""
    words: str = ""
    is_own: bool = True

    @property
    def words_of_act(self) -> str:
        """The measure in the reader's language."""
        return str(STEP_WORDS[Step(self.act)])

    @property
    def reason(self) -> str:
        """The reason: as somebody wrote it, or in the reader's language what the site itself wrote."""
        return gettext(self.words) if self.words else ""

    @property
    def key(self) -> tuple[int, str, date, int]:
        """What makes it the same thing, told to the same person."""
        return self.card.pk, self.kind.value, self.due, self.number


@dataclass(frozen=True, slots=True)
class Letter:
    """A mail to one person: everything new about the cards they hold or oversee."""

    person: Person
    items: tuple[Item, ...]

    @property
    def own(self) -> tuple[Item, ...]:
        """What is about the reader's own cards."""
        return tuple(item for item in self.items if item.is_own)

    @property
    def others(self) -> tuple[Item, ...]:
        """What is about the cards of others."""
        return tuple(item for item in self.items if not item.is_own)


def letters(*, at: datetime) -> list[Letter]:
    """Return the mails to write at a moment, by person: a fixed number of queries for each few hundred cards."""
    told: dict[int, list[Item]] = defaultdict(list)
    supervisors = _supervisors(at)
    open_or_new = Q(closed_at=None) | Q(closed_at__gte=at - STALE)
    numbers = list(Card.objects.filter(open_or_new, person__is_active=True).order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(numbers), BATCH):
        for person, item in _new(numbers[start : start + BATCH], supervisors, at):
            told[person].append(item)
    return _letters(told)


def _letters(told: dict[int, list[Item]]) -> list[Letter]:
    people = Person.objects.filter(pk__in=told, is_active=True).exclude(email="").order_by("pk")
    return [Letter(person, tuple(told[person.pk])) for person in people]


def _new(numbers: Sequence[int], supervisors: dict[int, list[int]], at: datetime) -> Iterator[tuple[int, Item]]:
    """Yield who is to be told what about these cards, less what they were told."""
    known = {
        (person, card, kind, due, number)
        for person, card, kind, due, number in Notice.objects.filter(card__in=numbers).values_list(
            "person_id", "card_id", "kind", "due", "number"
        )
    }
    for item in _items(numbers, at):
        readers = [(item.card.person_id, item)]
        if item.kind in FOR_SUPERVISORS or item.act in SENDS_OR_STOPS:
            others = supervisors.get(item.card.person.employer_id, ())
            readers += [(pk, replace(item, is_own=False)) for pk in others if pk != item.card.person_id]
        yield from ((pk, one) for pk, one in readers if (pk, *one.key) not in known)


def _items(numbers: Sequence[int], at: datetime) -> Iterator[Item]:
    """Yield what there is to tell about these cards at a moment, told or not."""
    found = list(cards().select_related("issued_by").filter(pk__in=numbers).order_by("last_day", "pk"))
    recent = Measure.objects.filter(card__in=numbers, at__gt=at - STALE).select_related("by").order_by("at", "pk")
    acts: dict[int, list[Measure]] = defaultdict(list)
    for measure in recent:
        acts[measure.card_id].append(measure)
    days = {zone: local_day(at, zone) for zone in {card.zone for card in found}}
    shown = {
        face.number: face for zone, on in days.items() for face in faces([c for c in found if c.zone == zone], on=on)
    }
    for card in found:
        face = shown[card.number]
        if card.issued_at > at - STALE:
            yield Item(card, face, Kind.ISSUED, card.valid_from, act=str(card.ground), by=card.issued_by.name)
        for one in acts[card.pk]:
            yield Item(card, face, Kind.MEASURE, one.on, one.pk, one.step, one.by.name, one.reason)
        facts = {"day": face.day, "last_day": face.last_day, "confirmed_to": face.confirmed_to}
        for kind, due, step in coming(face.standing, on=days[card.zone], **facts):
            yield Item(card, face, kind, due, step)


def _supervisors(at: datetime) -> dict[int, list[int]]:
    """Return who supervises at each employer on the local day there, by number of the employer."""
    found: dict[int, list[int]] = defaultdict(list)
    rows = RoleHeld.objects.filter(role=Role.SUPERVISOR, person__is_active=True).exclude(person__email="")
    for held in rows.select_related("person__employer").order_by("person"):
        employer, on = held.person.employer, local_day(at, held.person.employer.zone)
        if in_force(held.from_on, held.until_on, on=on) and held.person_id not in found[employer.pk]:
            found[employer.pk].append(held.person_id)
    return found
