"""The sheet of an open sitting: what may be seen before hand-in, and nothing else."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import ceil
from uuid import UUID

from training.bank import rules as bank
from training.bank.operations import problems
from training.bank.queries import SheetQuestion
from training.bank.rules import Problem
from training.questions.item import Item
from training.quizzes.models import PaperIssue, Sitting
from training.quizzes.queries.papers import clock


@dataclass(frozen=True, slots=True)
class State:
    """How a question stands: its place, how often its answer was kept, whether it is flagged and wants an answer."""

    position: int
    turn: int
    flagged: bool
    empty: bool


@dataclass(frozen=True, slots=True)
class Datum:
    """A line of the data sheet as printed."""

    says: str
    symbol: str
    value: str
    source: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """An open sitting: the questions asked for, how every question stands, the clock, breaks and the data sheet.

    `unread` is what `looked_over` found that cannot be read.
    """

    id: UUID
    title: str
    due: str
    now: str
    zone: str
    questions: tuple[SheetQuestion, ...]
    states: tuple[State, ...] = ()
    minutes_left: int = 0
    break_minutes: int = 0
    paused: bool = False
    data: tuple[Datum, ...] = ()
    slug: str = ""
    unread: tuple[Problem, ...] = ()

    @property
    def empty(self) -> tuple[State, ...]:
        """Return the questions that want an answer, or a part of one."""
        return tuple(state for state in self.states if state.empty)

    @property
    def flagged(self) -> tuple[State, ...]:
        """Return the questions the candidate wants to come back to."""
        return tuple(state for state in self.states if state.flagged)

    @property
    def shown_states(self) -> tuple[State, ...]:
        """Return how the questions on this page stand, in their order."""
        places = {question.position for question in self.questions}
        return tuple(state for state in self.states if state.position in places)


def sheet(sitting: Sitting, *, at: datetime, only: int | None = None) -> Sheet:
    """Return the sheet of an open sitting, or `only` one of its questions.

    One query, which leaves the sealed side in the database.
    """
    person, due = sitting.person, sitting.due(at)
    names = ("position", "shown", "answer__given", "answer__turn", "answer__flagged")
    rows = list(sitting.items.order_by("position").values_list(*names))
    return Sheet(
        id=sitting.pk,
        title=sitting.issue.title,
        due=clock(due, person),
        now=clock(at, person),
        zone=person.employer.zone,
        questions=tuple(
            SheetQuestion(place, shown, given or {}) for place, shown, given, *_rest in rows if only in (None, place)
        ),
        states=tuple(_state(*row) for row in rows),
        minutes_left=max(0, ceil((due - at).total_seconds() / 60)),
        break_minutes=ceil(sitting.break_left.total_seconds() / 60),
        paused=sitting.paused_at is not None,
        data=data_sheet(sitting.issue),
        slug=sitting.issue.paper.slug,
    )


def looked_over(sitting: Sitting, *, at: datetime, only: int | None = None) -> Sheet:
    """Return the sheet with what cannot be read in the answers kept, in the words handing in has for it.

    The sealed side is looked at for the unit that a number is read in; nothing of it leaves here.
    """
    answered = sitting.items.filter(answer__isnull=False, **({} if only is None else {"position": only}))
    rows = answered.order_by("position").values_list("position", "shown", "sealed", "answer__given")
    unread = [
        one for place, shown, sealed, given in rows for one in problems(place, Item.from_json(shown, sealed), given)
    ]
    return replace(sheet(sitting, at=at, only=only), unread=tuple(unread))


def _state(place: int, shown: dict, given: dict | None, turn: int | None, flagged: bool | None) -> State:  # type: ignore[type-arg]
    empty = any(bank.blank((given or {}).get(part["name"])) for part in shown["parts"])
    return State(place, turn or 0, bool(flagged), empty)


def data_sheet(issue: PaperIssue) -> tuple[Datum, ...]:
    """Return the data sheet of an issue."""
    rows: Sequence[dict[str, str]] = issue.body.get("data", ())
    return tuple(Datum(row["says"], row["symbol"], _whole(row), row["source"]) for row in rows)


def _whole(row: dict[str, str]) -> str:
    """Return a value with its unit, which no line may part."""
    return f"{row['value']} {row['unit']}".strip().replace(" ", "\N{NO-BREAK SPACE}")
