"""Reading bonds made: a crew member's own, and what a supervisor confirms on."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Max, QuerySet
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards.models import Card, Confirmation
from certs.cards.queries import CardFace, cards, faces, newest
from certs.cards.rules import Standing
from certs.photos.queries import photos_of
from certs.schemes.models import SchemeIssue
from certs.schemes.queries import candidates_on, current_issues
from certs.worklog.models import WorkEntry
from certs.worklog.rules import KIND, Span, listed
from training.people.models import Person
from training.questions.rounding import printed

LISTED = 100
# Standings under which a confirmation is still to be looked at.
OPEN = frozenset({Standing.CURRENT, Standing.DUE, Standing.WORK_NOT_CONFIRMED, Standing.PROCEDURE_OVERDUE})


@dataclass(frozen=True, slots=True)
class Line:
    """One entry with its photos; `counts` towards the next confirmation."""

    entry: WorkEntry
    scheme: str
    photos: tuple[UUID, ...]
    counts: bool = False

    @property
    def readings(self) -> list[str]:
        """What was read, each with its unit."""
        words = (
            (_("air %(value)s °C"), self.entry.air_c),
            (_("pack %(value)s °C"), self.entry.pack_c),
            (_("pack at rest %(value)s V"), self.entry.pack_v),
            (_("highest joint %(value)s µΩ"), self.entry.joint_uohm),
        )
        return [says % {"value": printed(str(value), "")} for says, value in words if value is not None]


@dataclass(frozen=True, slots=True)
class Tally:
    """What counts towards the next confirmation of one card."""

    face: CardFace
    lines: tuple[Line, ...]

    @property
    def bonds(self) -> int:
        """How many bonds the entries come to."""
        return sum(line.entry.bonds for line in self.lines)

    @property
    def evidence(self) -> str:
        """The entries in one line, to begin the words of the confirmation with."""
        if not self.lines:
            return ""
        first, last = (date_format(end(line.entry.done_on for line in self.lines)) for end in (min, max))
        days = first if first == last else _("%(day)s to %(until)s") % {"day": first, "until": last}
        words = _("The holder's own records (%(number)d): %(days)s.") % {"number": len(self.lines), "days": days}
        jobs = listed(line.entry.job for line in self.lines)
        return f"{words} {_('Jobs: %(jobs)s.') % {'jobs': jobs}}" if jobs else words

    @property
    def late(self) -> bool:
        """Whether the day to confirm has passed: the card has stopped, or warns."""
        return self.face.standing is Standing.WORK_NOT_CONFIRMED or bool(self.face.warning)


@dataclass(frozen=True, slots=True)
class Own:
    """A crew member's page: the cards to be confirmed and the entries, the newest first."""

    tallies: tuple[Tally, ...]
    lines: tuple[Line, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Holder:
    """One card of one crew member in the supervisor's list."""

    pk: int
    name: str
    employer: str
    tally: Tally
    may_confirm: bool


def choices(person: Person, *, on: date) -> list[SchemeIssue]:
    """Return the schemes in use to choose from, those of the person's own cards first."""
    held = set(Card.objects.filter(person=person, valid_from__lte=on).values_list("scheme_id", flat=True))
    return sorted(current_issues(), key=lambda issue: issue.scheme_id not in held)


def own(person: Person, *, on: date) -> Own:
    """Gather a crew member's page in a fixed number of queries."""
    tallies = _tallies([person.pk], on=on)
    counted = {line.entry.pk for tally in tallies for line in tally.lines}
    rows = WorkEntry.objects.filter(person=person).order_by("-done_on", "-received_at", "-pk")
    shown = _lines(list(rows[:LISTED]), counted)
    return Own(tallies, shown, max(0, rows.count() - LISTED))


def evidence(card: Card, *, on: date) -> Tally:
    """Return what counts towards the next confirmation of a card."""
    return _tally(faces([card], on=on), on=on)[0]


def holders(people: QuerySet[Person], *, mine: QuerySet[Person], on: date) -> list[Holder]:
    """List the cards of these people that work is to be confirmed for, the nearest day first.

    `mine` are the people whose work the viewer may confirm.
    """
    crew = {one.pk: one for one in candidates_on(people, on).select_related("employer")}
    confirmable = set(mine.values_list("pk", flat=True))
    found = sorted(_tallies(crew, on=on), key=lambda one: (one.face.confirmed_to, one.face.holder, one.face.number))
    return [
        Holder(
            pk=tally.face.person_id,
            name=crew[tally.face.person_id].name,
            employer=crew[tally.face.person_id].employer.name,
            tally=tally,
            may_confirm=tally.face.person_id in confirmable and tally.face.holds,
        )
        for tally in found
    ]


def _tallies(person_ids: Iterable[int], *, on: date) -> tuple[Tally, ...]:
    held = cards().filter(person_id__in=list(person_ids), valid_from__lte=on).order_by("valid_from", "pk")
    counting = [face for face in newest(faces(held, on=on)).values() if face.standing in OPEN]
    return _tally(counting, on=on)


def _tally(shown: Sequence[CardFace], *, on: date) -> tuple[Tally, ...]:
    """Count for many cards in three queries."""
    people, schemes = {face.person_id for face in shown}, {face.scheme_id for face in shown}
    confirmed = _confirmed(people, schemes)
    rows = WorkEntry.objects.filter(person__in=people, scheme__in=schemes).order_by("done_on", "received_at", "pk")
    entries = list(rows)
    photos = photos_of(KIND, {entry.pk: entry.person_id for entry in entries})
    tallies = []
    for face in shown:
        span = Span(face.held_since, confirmed.get((face.person_id, face.scheme_id, face.held_since)), on)
        lines = tuple(
            Line(entry, face.scheme, tuple(photos[entry.pk]), counts=True)
            for entry in entries
            if (entry.person_id, entry.scheme_id) == (face.person_id, face.scheme_id)
            and span.counts(entry.done_on, entry.received_at)
        )
        tallies.append(Tally(face, lines))
    return tuple(tallies)


def _confirmed(people: Collection[int], schemes: Collection[int]) -> dict[tuple[int, int, date], datetime]:
    """Return when work was last confirmed, under whatever numbers a card of that first day has had."""
    rows = Confirmation.objects.filter(card__person__in=people, card__scheme__in=schemes, doubts=False)
    grouped = rows.values_list("card__person", "card__scheme", "card__held_since").annotate(last=Max("entered_at"))
    return {(person, scheme, since): last for person, scheme, since, last in grouped}


def _lines(entries: Sequence[WorkEntry], counted: set[UUID]) -> tuple[Line, ...]:
    titles = dict(SchemeIssue.objects.order_by("number").values_list("scheme_id", "title"))
    photos = photos_of(KIND, {entry.pk: entry.person_id for entry in entries})
    return tuple(
        Line(entry, titles[entry.scheme_id], tuple(photos[entry.pk]), entry.pk in counted) for entry in entries
    )
