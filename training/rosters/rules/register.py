"""Who is on record for an employer, and what a roster changes of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from training.people.rules import folded
from training.rosters.rules.lines import Line, Wrong, tidy

ONE_DAY = timedelta(days=1)


class Kept(StrEnum):
    """In which table a time stands."""

    CREW = "crew"
    ROLE = "role"


@dataclass(frozen=True, slots=True)
class Spell:
    """A time in a crew (`what` is its number), or as a crew member (`what` is 0)."""

    table: Kept
    pk: int
    what: int
    from_on: date
    until_on: date | None

    def goes_past(self, day: date) -> bool:
        """Say whether it goes on after a day."""
        return self.until_on is None or self.until_on > day


@dataclass(frozen=True, slots=True)
class Known:
    """One person on record, with the times that are not over."""

    pk: int
    name: str
    username: str
    number: str = ""
    email: str = ""
    spells: tuple[Spell, ...] = ()
    # Holds, now or later, a role beside that of a crew member.
    other_role: bool = False
    is_active: bool = True
    # Whether whoever brings the roster may change this account.
    kept: bool = True

    def going_on(self, on: date) -> tuple[Spell, ...]:
        """Return the times that go on after a day."""
        return tuple(spell for spell in self.spells if spell.goes_past(on))

    def crews(self, on: date) -> frozenset[int]:
        """Return the crews of a day that go on after it."""
        return frozenset(s.what for s in self.going_on(on) if s.table is Kept.CREW and s.from_on <= on)

    def is_here(self, on: date) -> bool:
        """Say whether the person works here after a day, as far as the register knows."""
        return self.is_active and (self.other_role or bool(self.going_on(on)))

    def last_day(self, on: date) -> date | None:
        """Return the day after which nothing goes on, where that is settled."""
        ends = [spell.until_on for spell in self.going_on(on)]
        return None if self.other_role or None in ends else max((day for day in ends if day), default=None)


@dataclass(frozen=True, slots=True)
class Register:
    """An employer's people and crews, and the user names of the whole site."""

    people: tuple[Known, ...]
    crews: Mapping[str, int]
    usernames: frozenset[str]
    # The name of the site each crew goes out from, where one is known.
    sites: Mapping[int, str] = field(default_factory=dict)

    def numbered(self) -> dict[str, Known]:
        """Return the people by the employer's number."""
        return {tidy(known.number): known for known in self.people if known.number}

    def named(self) -> dict[str, list[Known]]:
        """Return the people by their name as searches compare it."""
        found: dict[str, list[Known]] = {}
        for known in self.people:
            found.setdefault(folded(known.name), []).append(known)
        return found

    def crew(self, name: str) -> int | None:
        """Return a crew by its name; accents and capitals do not matter where only one crew is meant."""
        if name in self.crews:
            return self.crews[name]
        alike = [pk for known, pk in self.crews.items() if folded(known) == folded(name)]
        return alike[0] if len(alike) == 1 else None


@dataclass(frozen=True, slots=True)
class Change:
    """What is done to one person; `person` is None for a new one, `line` is 0 for one missing from the file.

    `name`, `number` and `email` are None where they stay. `ends` and `extends` are times by table and number.
    """

    line: int
    person: int | None
    name: str | None = None
    number: str | None = None
    email: str | None = None
    username: str = ""
    joins: tuple[int, ...] = ()
    ends: tuple[tuple[Kept, int, date], ...] = ()
    extends: tuple[tuple[Kept, int], ...] = ()
    gives_role: bool = False
    # The last day of a new person's role and crews.
    until_on: date | None = None
    reopens: bool = False
    closes: bool = False

    @property
    def renames(self) -> bool:
        """Whether facts about the person change."""
        return not (self.name is None and self.number is None and self.email is None)

    @property
    def returns(self) -> bool:
        """Whether the person comes back."""
        return self.reopens or self.gives_role or any(table is Kept.ROLE for table, _pk in self.extends)

    @property
    def leaves(self) -> bool:
        """Whether the person leaves the employer."""
        return self.closes or any(table is Kept.ROLE for table, _pk, _day in self.ends)

    @property
    def moves(self) -> bool:
        """Whether the crews change of somebody who was here and stays."""
        return bool(self.joins or self.ends or self.extends) and not (self.leaves or self.returns)

    @property
    def anything(self) -> bool:
        """Whether there is anything to do."""
        return self.person is None or self.renames or self.returns or self.leaves or self.moves


@dataclass(frozen=True, slots=True)
class Question:
    """A line that could mean somebody known; `may_be_new` where it could be a new person as well."""

    line: Line
    people: tuple[Known, ...]
    may_be_new: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """What a roster would do. With anything wrong or unanswered, nothing of it is done."""

    changes: tuple[Change, ...] = ()
    unchanged: int = 0
    wrong: tuple[Wrong, ...] = ()
    questions: tuple[Question, ...] = ()
    # Missing from the file, but with more than a crew member's role: nothing is done to them.
    untouched: tuple[Known, ...] = field(default=())

    @property
    def ready(self) -> bool:
        """Whether it can be applied."""
        return bool(self.changes) and not (self.wrong or self.questions)
