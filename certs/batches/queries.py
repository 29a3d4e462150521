"""Reading batches: which cards can be chosen, how far a batch is, what has changed since."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q, QuerySet

from certs.batches.models import Batch
from certs.batches.rules import Progress, State, state
from certs.board.queries import Asked, grid
from certs.cards.models import Card, pasts
from certs.cards.pdf import PRINTABLE
from certs.cards.queries import CardFace, cards, face
from certs.cards.rules import local_day
from training.people.models import Person


@dataclass(frozen=True, slots=True)
class Choice:
    """A card on the list to choose from."""

    number: str
    holder: str
    employer: str
    crews: str
    scheme: str
    words: str
    shape: str
    says: str
    printable: bool


@dataclass(frozen=True, slots=True)
class Choices:
    """One page of the list; `before` and `after` lead to the others, as on the board."""

    rows: tuple[Choice, ...]
    before: int | None
    after: int | None


@dataclass(frozen=True, slots=True)
class Shown:
    """A batch as its page shows it. `changed` are printed cards that no longer hold."""

    batch: Batch
    state: State
    progress: Progress
    refused: tuple[tuple[str, str, str], ...]
    changed: tuple[CardFace, ...]


def choices(people: QuerySet[Person], asked: Asked, *, at: datetime, before: str = "", after: str = "") -> Choices:
    """Return the cards that the board shows for what it is asked, a page at a time."""
    board = grid(people, asked, at=at, before=before, after=after)
    rows = tuple(
        Choice(
            number=cell.number,
            holder=row.name,
            employer=row.employer,
            crews=row.crews,
            scheme=cell.scheme,
            words=cell.words,
            shape=cell.shape,
            says=cell.says,
            printable=cell.standing in PRINTABLE,
        )
        for row in board.rows
        for cell in row.cells
        if cell.number
    )
    return Choices(rows, board.before, board.after)


def all_choices(people: QuerySet[Person], asked: Asked, *, at: datetime) -> list[str]:
    """Return the numbers of the printable cards on every page of the list."""
    numbers: list[str] = []
    after: int | None = None
    while True:
        found = choices(people, asked, at=at, after="" if after is None else str(after))
        numbers += [row.number for row in found.rows if row.printable]
        after = found.after
        if after is None:
            return numbers


def cards_numbered(people: QuerySet[Person], numbers: Iterable[str]) -> list[Card]:
    """Return the cards of these people that have these numbers, by employer and holder."""
    found = cards().filter(number__in=list(numbers), person__in=people)
    return list(found.order_by("person__employer__name", "holder_name", "pk"))


def faces_at(found: Iterable[Card], *, at: datetime) -> list[CardFace]:
    """Say how each card stands on the day that it is in its own zone."""
    listed = list(found)
    known = pasts(listed)
    return [face(card, on=local_day(at, card.zone), past=known[card.pk]) for card in listed]


def progress_of(batch: Batch) -> Progress:
    """Count the cards of a batch."""
    counted = batch.cards.aggregate(
        asked=Count("pk"), printed=Count("pk", filter=Q(part__isnull=False)), refused=Count("pk", filter=~Q(refused=""))
    )
    return Progress(**counted)


def shown(batch: Batch, *, at: datetime) -> Shown:
    """Say how far a batch is, which cards it could not print, and which it should not have printed by now."""
    progress = progress_of(batch)
    refused = batch.cards.exclude(refused="").order_by("place")
    printed = faces_at(cards().filter(pk__in=batch.cards.filter(part__isnull=False).values("card")), at=at)
    return Shown(
        batch=batch,
        state=state(progress, stopped=batch.stopped_at is not None, made=batch.made_at is not None),
        progress=progress,
        refused=tuple(refused.values_list("card__number", "card__holder_name", "refused")),
        changed=tuple(one for one in printed if one.standing not in PRINTABLE),
    )


def batches_of(person: Person) -> list[tuple[Batch, Progress]]:
    """Return the newest batches of a person with how far each is, without their bytes."""
    found = Batch.objects.filter(by=person).defer("pdf").order_by("-asked_at")[:20]
    return [(batch, progress_of(batch)) for batch in found]
