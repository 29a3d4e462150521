"""The questions at the hold points of a procedure, as one reader meets them."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from training.bank.models import QuestionVersion
from training.bank.queries import PartTold, SheetQuestion, Told, drawn, newest
from training.people.models import Person
from training.people.rules import local_day
from training.procedures import rules
from training.procedures.models import HoldAnswer, Module, Revision
from training.procedures.rules import Given, Hold

# In the order of the fields of Given.
COLUMNS = ("step", "question_version__question__key", "words", "turn", "is_right", "answered_at")


@dataclass(frozen=True, slots=True)
class HoldPoint:
    """A question at a step: open, with what the last try told, or answered rightly on a day."""

    step: str
    version: int
    turn: int
    question: SheetQuestion | None
    told: Told | None
    right_on: date | None

    @property
    def questions(self) -> tuple[SheetQuestion, ...]:
        """The question of its form."""
        return (self.question,) if self.question else ()


@dataclass(frozen=True, slots=True)
class HoldPoints:
    """All of a module's questions: how many are answered, at which step the reader goes on, those of each step."""

    done: int
    of: int
    go_on: str
    by_step: Mapping[str, tuple[HoldPoint, ...]]

    @property
    def are_open(self) -> bool:
        """Whether a question has still to be answered."""
        return self.done < self.of


NO_HOLDS = HoldPoints(0, 0, "", {})


def standing(revision: Revision, *, person: Person) -> tuple[tuple[Hold, ...], dict[str, QuestionVersion]]:
    """Say where a reader stands with each question of a revision, and give the versions asked now: two queries."""
    keys = [ask.key for ask in rules.asks(revision.body)]
    versions = newest(keys) if keys else {}
    given = given_to([revision.module], person=person).get(revision.module_id, ()) if versions else ()
    return rules.holds(revision.body, given, in_use=versions), versions


def given_to(modules: list[Module], *, person: Person) -> dict[int, list[Given]]:
    """Return every answer of a person at the hold points of some modules, by module, in one query."""
    rows = HoldAnswer.objects.filter(person=person, revision__module__in=modules)
    found: dict[int, list[Given]] = defaultdict(list)
    for module, *facts in rows.values_list("revision__module", *COLUMNS):
        found[module].append(Given(*facts))
    return found


def hold_points(revision: Revision, *, person: Person) -> HoldPoints:
    """Gather the questions of a revision for a reader, in two queries; what is sealed stays behind."""
    versions = newest([ask.key for ask in rules.asks(revision.body)])
    if not versions:
        return NO_HOLDS
    rows = HoldAnswer.objects.filter(person=person, revision__module=revision.module_id).values_list(*COLUMNS, "told")
    given = {Given(*facts): words for *facts, words in rows}
    holds = rules.holds(revision.body, given, in_use=versions)
    zone, by_step = ZoneInfo(person.employer.zone), defaultdict[str, list[HoldPoint]](list)
    for position, hold in enumerate(holds, start=1):
        version, last = versions[hold.ask.key], hold.last
        point = HoldPoint(
            step=hold.ask.step,
            version=version.pk,
            turn=hold.turn,
            question=_question(hold, version, position=position, person=person),
            told=_read(given[last]) if last else None,
            right_on=local_day(last.at, zone) if last and last.is_right else None,
        )
        by_step[hold.ask.step].append(point)
    go_on = rules.next_open(holds)
    return HoldPoints(
        done=sum(not hold.is_open for hold in holds),
        of=len(holds),
        go_on=go_on.ask.step if go_on else "",
        by_step={step: tuple(points) for step, points in by_step.items()},
    )


def _question(hold: Hold, version: QuestionVersion, *, position: int, person: Person) -> SheetQuestion | None:
    if not hold.is_open:
        return None
    item = drawn(version, seed=rules.seed(person.pk, hold.ask, turn=hold.turn))
    return SheetQuestion(position, item.shown(), {})


def _read(told: Mapping[str, Any]) -> Told:
    parts = (part | {"right": tuple(part["right"]), "working": tuple(part["working"])} for part in told["parts"])
    givens = tuple((says, value) for says, value in told["givens"])
    return Told(told["prompt"], givens, tuple(PartTold(**part) for part in parts))
