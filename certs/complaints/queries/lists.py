"""Lists of complaints: one's own, those one handles or may take up, and what the home page says of them."""

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from django.db.models import Q, QuerySet

from certs.complaints import rules
from certs.complaints.models import ABOUT_WORDS, STATE_WORDS, TIE_WORDS, Complaint, ComplaintStep
from certs.complaints.queries.loading import CLOSED, complaints, handler_of, is_gone, past_of
from certs.complaints.queries.persons import Known, able, administrators, eyes_of, known_of
from certs.complaints.rules import About, Eyes, State, Tie
from training.people.models import Person
from training.people.rules import Role

# Those answered of late; each stays under its number for good.
CLOSED_LISTED = 50


@dataclass(frozen=True, slots=True)
class Row:
    """A complaint in a list; `why_not` says what ties the reader to it, who then reads no more than this row."""

    pk: int
    number: str
    about: str
    came_on: date
    due_on: date
    left: int
    state: State
    words: str
    handler: str
    mine: bool
    why_not: tuple[str, ...]

    @property
    def is_open(self) -> bool:
        """Whether it is not answered yet."""
        return self.state is not State.CLOSED

    @property
    def is_overdue(self) -> bool:
        """Whether the day that was promised for its answer is over."""
        return self.is_open and self.left < 0

    @property
    def days_over(self) -> int:
        """How many days it is overdue."""
        return max(-self.left, 0)


@dataclass(frozen=True, slots=True)
class Index:
    """The page of complaints. `stuck` counts those that wait and that nobody there is may take up."""

    own: tuple[Row, ...]
    asked: tuple[Row, ...]
    open: tuple[Row, ...]
    closed: tuple[Row, ...]
    handles: bool
    stuck: int


def index(person: Person, *, on: date) -> Index:
    """Return the complaints somebody sees on a day, by what they are to them; the next one due first."""
    known = known_of(person, on=on)
    own = complaints().filter(complainant=person).order_by("-received_at", "-pk")
    asked = complaints().filter(pk__in=_asked_of(person)).order_by("-received_at", "-pk")
    waits = list(_open()) if known.is_administrator else []
    closed = complaints().filter(CLOSED).order_by("-due_on", "-pk")[:CLOSED_LISTED] if known.is_administrator else []
    return Index(
        own=tuple(row(one, person, on=on) for one in own),
        asked=tuple(row(one, person, on=on) for one in asked),
        open=_seen(waits, known, on=on),
        closed=_seen(list(closed), known, on=on),
        handles=known.is_administrator,
        stuck=_stuck(waits, on=on),
    )


def row(complaint: Complaint, person: Person, *, why_not: tuple[str, ...] = (), on: date) -> Row:
    """Return a complaint loaded through `complaints` as a row."""
    past, found = past_of(complaint), handler_of(complaint)
    state = rules.state(past)
    return Row(
        pk=complaint.pk,
        number=complaint.number,
        about=str(ABOUT_WORDS[About(complaint.about)]),
        came_on=complaint.came_on,
        due_on=complaint.due_on,
        left=rules.days_left(complaint.due_on, on=on),
        state=state,
        words=str(STATE_WORDS[state]),
        handler=found.name if found else "",
        mine=found is not None and found.pk == person.pk,
        why_not=why_not,
    )


def tied_words(seen: Eyes, tied: Sequence[Tie]) -> tuple[str, ...]:
    """Return why somebody who is tied to a complaint does not handle it; nothing of anybody else."""
    return tuple(str(TIE_WORDS[tie]) for tie in tied) if seen is Eyes.TIED else ()


def _asked_of(person: Person) -> QuerySet[ComplaintStep]:
    return ComplaintStep.objects.filter(asked=person).values("complaint")  # type: ignore[return-value]


def _open() -> QuerySet[Complaint]:
    return complaints().exclude(CLOSED).order_by("due_on", "pk")


def _seen(found: Sequence[Complaint], known: Known, *, on: date) -> tuple[Row, ...]:
    """Return the rows that somebody who handles complaints sees; one that is about them, or from them, is not there."""
    rows = []
    for one in found:
        seen, tied = eyes_of(known, one, on=on)
        if seen in {Eyes.HANDLER, Eyes.READER, Eyes.TIED}:
            rows.append(row(one, known.person, why_not=tied_words(seen, tied), on=on))
    return tuple(rows)


def _stuck(waits: Sequence[Complaint], *, on: date) -> int:
    """Count the complaints that nobody has taken up and nobody may: someone more has to be made administrator."""
    free = [one for one in waits if rules.handler(past_of(one)) is None or is_gone(one)]
    everyone = [known_of(one, on=on) for one in administrators(on=on)] if free else []
    return sum(not able(one, everyone, on=on) for one in free)


@dataclass(frozen=True, slots=True)
class OnHome:
    """Complaints on the home page of one person.

    `asked` wait for their side; of those they handle or may take up, `overdue` are late, `mine` they handle, and
    `waiting` counts what nobody has taken up.
    """

    template: ClassVar[str] = "certs/complaints/home.html"
    asked: tuple[Row, ...]
    overdue: tuple[Row, ...]
    mine: tuple[Row, ...]
    waiting: int
    stuck: int


def on_home(person: Person, roles: AbstractSet[Role], *, on: date) -> OnHome | None:
    """Return what the home page says of complaints, or None: one query where there is nothing."""
    sought = Q(pk__in=_asked_of(person))
    if Role.ADMINISTRATOR in roles and person.employer.is_body:
        sought |= Q(pk__isnull=False)
    found = list(_open().filter(sought))
    if not found:
        return None
    known = known_of(person, on=on)
    asked = [one for one in found if person.pk in {side.asked for side in rules.sides_open(past_of(one))}]
    rows = _seen(found, known, on=on) if known.is_administrator else ()
    yours = [one for one in rows if not one.why_not]
    said = OnHome(
        asked=tuple(row(one, person, on=on) for one in asked),
        overdue=tuple(one for one in yours if one.is_overdue),
        mine=tuple(one for one in yours if one.mine and not one.is_overdue),
        waiting=sum(one.state is State.WAITS and not one.is_overdue for one in yours),
        stuck=_stuck(found, on=on) if known.is_administrator else 0,
    )
    return said if said.asked or said.overdue or said.mine or said.waiting or said.stuck else None
