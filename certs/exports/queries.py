"""Reading the register line by line, and the days of cards for a calendar."""

import csv
from collections.abc import Callable, Iterator
from datetime import date
from itertools import chain
from urllib.parse import urlsplit

from django.conf import settings
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.board.queries import NOWHERE, Asked, Say, crews_of_all, listed, schemes
from certs.cards.models import Card
from certs.cards.queries import CardFace, Pieces, cards, faces
from certs.exports import rules
from certs.exports.models import CalendarFeed
from certs.exports.rules import Event
from certs.visits.models import Visit
from certs.visits.queries import shown as shown_visits
from training.people.models import Person
from training.tables.code import Value, quoted
from training.tables.rules import unmarked

# People whose cards are loaded at one go: a long register never stands in memory.
BATCH = 5_000
# What stands under `heads`.
Line = tuple[Value, ...]
# What they are: texts, but for the number of the issue and the days.
HOW: tuple[Callable[[str], Value], ...] = (
    *(str, str, str, str, str, date.fromisoformat, str, int, str, str),
    *(date.fromisoformat, date.fromisoformat, str, date.fromisoformat, str),
)


def heads() -> tuple[str, ...]:
    """Return the heads of the columns of a register."""
    return (
        _("Employer"),
        _("Name"),
        _("Employer's number"),
        _("Sites"),
        _("Crews"),
        _("As of"),
        _("Scheme"),
        _("Scheme issue"),
        _("Card number"),
        _("Standing"),
        _("Valid from"),
        _("Last day"),
        _("Time zone"),
        _("Work confirmed to"),
        _("Note"),
    )


def register(people: QuerySet[Person], asked: Asked) -> Iterator[list[str]]:
    """Yield, many at once, what the board shows when it is asked this, all pages of it: lines of a CSV file.

    There is one for each person and scheme, without its end.
    """
    words = Say().words
    held, nothing = Pieces(on=asked.on, words=words), (None, "", words[None], "", "", "", "", "")
    columns = schemes(asked, lambda: _held(people, asked))
    without = [(pk, quoted([(title, *nothing)])[0]) for pk, _slug, title, _is_retired in columns]
    crews, day = crews_of_all(people, asked), asked.on.isoformat()
    for some in _in_batches(listed(people, asked)):
        keys = [pk for pk, *_facts in some]
        pieces = held.of(keys)
        of_schemes = [(pieces[pk].get, no_card) for pk, no_card in without]
        named = quoted(
            [(employer, name, number, *reversed(crews.get(pk, NOWHERE)), day) for pk, name, number, employer in some]
        )
        yield [
            f"{who},{piece(pk, no_card)}" for pk, who in zip(keys, named, strict=True) for piece, no_card in of_schemes
        ]


def register_in_cells(people: QuerySet[Person], asked: Asked) -> Iterator[Line]:
    """Yield the same lines in cells, numbers and days as such, for a file that knows them."""
    for cells in csv.reader(chain.from_iterable(register(people, asked))):
        yield tuple(map(_valued, HOW, cells))


def _held(people: QuerySet[Person], asked: Asked) -> set[int]:
    """Return the schemes of which any of these people had a card by the day."""
    cards = Card.objects.filter(person__in=people, valid_from__lte=asked.on)
    return set(cards.values_list("scheme_id", flat=True).distinct())


def _in_batches(found: list[tuple[int, str, str, str]]) -> Iterator[list[tuple[int, str, str, str]]]:
    for start in range(0, len(found), BATCH):
        yield found[start : start + BATCH]


def _valued(how: Callable[[str], Value], said: str) -> Value:
    return how(unmarked(said)) if said else said


def feed_of(person: Person) -> CalendarFeed | None:
    """Return a person's feed, or None."""
    return CalendarFeed.objects.filter(person=person).first()


def events(people: QuerySet[Person], visits: QuerySet[Visit], *, own: Person, on: date) -> list[Event]:
    """Return the last days and days of confirmation of the open cards of these people, and visits, in order of days."""
    held = list(
        cards().filter(person__in=people.filter(is_active=True), closed_at__isnull=True).order_by("last_day", "pk")
    )
    found = [
        event
        for card, shown in zip(held, faces(held, on=on), strict=True)
        for event in _events(card, shown, named="" if card.person_id == own.pk else shown.holder)
    ]
    return sorted([*found, *visit_events(visits, on=on)], key=lambda event: (event.day, event.title))


def visit_events(visits: QuerySet[Visit], *, on: date) -> list[Event]:
    """Return visits as calendar entries; the same visit keeps its identifier."""
    host = urlsplit(settings.SITE_URL).hostname or "localhost"
    found = []
    for one in shown_visits(visits, on=on):
        facts = {"scheme": one.scheme, "people": ", ".join(one.names)}
        facts |= {"trainer": one.visit.trainer.name, "place": f"{one.visit.employer.name}, {one.visit.place}"}
        found.append(
            Event(
                uid=rules.visit_uid(one.visit.pk, host=host),
                day=one.visit.on,
                title=_("Trainer visit, %(scheme)s: %(people)s") % facts,
                text=_("%(trainer)s comes to %(place)s.") % facts,
                url=f"{settings.SITE_URL}{reverse('visits:visit', args=[one.visit.pk])}",
            )
        )
    return found


def _events(card: Card, shown: CardFace, *, named: str) -> Iterator[Event]:
    facts = {"scheme": shown.scheme, "number": shown.number, "name": named}
    last = _("%(name)s: last day of the card, %(scheme)s") if named else _("Last day of my card, %(scheme)s")
    text = _("Card %(number)s. Renewal opens on %(day)s. Renewed in time, the anniversary is kept.")
    opens = {"day": date_format(shown.renew_from)}
    yield _event("last day", card, shown.last_day, last % facts, text % (facts | opens))
    if shown.holds and shown.confirmed_to < shown.last_day:
        due = _("%(name)s: work to be confirmed, %(scheme)s") if named else _("My work to be confirmed, %(scheme)s")
        text = _("Card %(number)s. A supervisor confirms the work by the end of this day.")
        yield _event("confirmation", card, shown.confirmed_to, due % facts, text % facts)


def _event(kind: str, card: Card, day: date, title: str, text: str) -> Event:
    host = urlsplit(settings.SITE_URL).hostname or "localhost"
    cycle = {"person": card.person_id, "scheme": card.scheme_id, "anchor": card.anchor, "months": card.months}
    return Event(
        uid=rules.uid(kind, **cycle, host=host),
        day=day,
        title=title,
        text=text,
        url=f"{settings.SITE_URL}{reverse('cards:card', args=[card.number])}",
    )
