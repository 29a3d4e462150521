"""Why somebody cannot fill a place on a day, and which step would put that right: told by their record."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.cards import rules as cards
from certs.cards.models import Card, Past, pasts
from certs.cards.queries import CardFace, standings
from certs.cards.rules import Standing, State
from certs.jobs.rules import Elsewhere, Hand, Job, covers, in_crew
from certs.records.queries.own import SENTENCES, OwnScheme, own_schemes_of
from certs.records.rules import Step
from training.people.models import Person

# Nobody reads further down.
MOST_ASKED = 12

REASONS: Mapping[Standing, str | Promise] = {
    Standing.LAPSED: gettext_lazy("Card not renewed, last day %(day)s."),
    Standing.SUSPENDED: gettext_lazy("Suspended since %(day)s."),
    Standing.WITHDRAWN: gettext_lazy("Withdrawn on %(day)s."),
    Standing.REPLACED: gettext_lazy("Replaced on %(day)s."),
    Standing.NOT_YET_VALID: gettext_lazy("Card counts from %(day)s."),
    Standing.WORK_NOT_CONFIRMED: gettext_lazy("Work not confirmed, due %(day)s."),
    Standing.PROCEDURE_OVERDUE: gettext_lazy("Changed procedure not done, due %(day)s."),
}


@dataclass(frozen=True, slots=True)
class Lack:
    """A person who cannot fill a place: why on that day, and the step that would help, empty where none would."""

    pk: int
    name: str
    why: str
    step: str


class Records:
    """The cards and records of some people; records are read for those of a gap together, each once."""

    def __init__(self, hands: Sequence[Hand], elsewhere: Elsewhere, *, on: date, at: datetime) -> None:
        pks = [int(hand.key) for hand in hands]
        self.elsewhere = elsewhere
        self.on, self.at = on, at
        self.faces: dict[tuple[int, int], CardFace] = standings(pks, on=on)
        issued = Card.objects.filter(person__in=pks).select_related("scheme", "scheme_issue")
        self.cards: dict[tuple[int, str], list[Card]] = defaultdict(list)
        found = list(issued.order_by("valid_from", "pk"))
        for card in found:
            self.cards[card.person_id, card.scheme.slug].append(card)
        self.pasts: Mapping[int, Past] = pasts(found)
        self.people: QuerySet[Person] = Person.objects.filter(pk__in=pks).select_related("employer")
        self.read: dict[int, tuple[OwnScheme, ...]] = {}

    def state(self, person: int, scheme: str, *, on: date) -> State | None:
        """Say how the card that counts on a day stands then, or None where there is none."""
        held = self._issued(person, scheme, on=on)
        return cards.standing(held[-1].facts(self.pasts[held[-1].pk]), on=on) if held else None

    def has_card(self, person: int, scheme: str, *, on: date) -> bool:
        """Say whether any card was issued by a day, however it stands."""
        return bool(self._issued(person, scheme, on=on))

    def _issued(self, person: int, scheme: str, *, on: date) -> list[Card]:
        return [card for card in self.cards.get((person, scheme), ()) if card.valid_from <= on]

    def load(self, people: Collection[int]) -> None:
        """Read the records of people, but for those that are read already: a dozen queries, or none."""
        new = set(people) - set(self.read)
        if new:
            found = list(self.people.filter(pk__in=new))
            self.read |= own_schemes_of(found, on=self.on, at=self.at, held=self.faces)

    def own(self, person: int, title: str) -> OwnScheme | None:
        """Return where a person whose record is read stands under a scheme today; None for a scheme out of use."""
        return next((own for own in self.read[person] if own.title == title), None)


def lacks(
    job: Job, hands: Sequence[Hand], scheme: str, title: str, *, on: date, taken: Sequence[str], records: Records
) -> tuple[tuple[Lack, ...], int]:
    """Return who could fill a card's place but for what they lack, the nearest first, and how many more there are.

    `taken` are the keys of those who have a place at the job that day already.
    """
    crew = [hand for hand in hands if hand.crews or hand.may or not hand.supervisor]
    asked = [hand for hand in crew if in_crew(hand, job.crew, on) and hand.key not in taken]
    near = sorted(asked, key=lambda hand: (not records.has_card(int(hand.key), scheme, on=on), hand.name))
    shown = near[:MOST_ASKED]
    records.load([int(hand.key) for hand in shown if _lacks_card(hand, scheme, on=on, records=records)])
    told = [_lack(hand, scheme, title, on=on, records=records) for hand in shown]
    return tuple(told), len(near) - len(told)


def _lacks_card(hand: Hand, scheme: str, *, on: date, records: Records) -> bool:
    state = records.state(int(hand.key), scheme, on=on)
    return not covers(hand.away, on) and (state is None or not state.standing.holds)


def _lack(hand: Hand, scheme: str, title: str, *, on: date, records: Records) -> Lack:
    pk = int(hand.key)
    if covers(hand.away, on):
        # Why is nobody's business here.
        return Lack(pk, hand.name, _("Away."), "")
    state = records.state(pk, scheme, on=on)
    if state is None:
        return Lack(pk, hand.name, _("No card."), _step(state, records.own(pk, title)))
    if state.standing.holds:
        placed = records.elsewhere.get((on, hand.key))
        if placed is not None:
            return Lack(
                pk, hand.name, _("Placed at %(job)s that day.") % {"job": placed}, _("Change the accepted plan.")
            )
        return Lack(pk, hand.name, _("No crew member on that day."), "")
    why = str(REASONS[state.standing]) % {"day": date_format(state.day)}
    return Lack(pk, hand.name, why, _step(state, records.own(pk, title)))


def _step(state: State | None, own: OwnScheme | None) -> str:
    """Say the step that the record tells, in its words; a card that holds today may still need one before the day."""
    ahead = own is not None and own.face is not None and own.face.holds
    if state is not None and ahead and state.standing is Standing.WORK_NOT_CONFIRMED:
        return str(SENTENCES[Step.CONFIRM]) % {"day": date_format(state.day)}
    if own is None:
        return ""
    if own.step is Step.NOTHING and own.face is not None:
        return _("Renew it: renewal opens on %(day)s.") % {"day": date_format(own.face.renew_from)}
    modules = ", ".join(name for _slug, name, *_rest in own.unread)
    return _("Read these procedures: %(names)s.") % {"names": modules} if modules else own.sentence
