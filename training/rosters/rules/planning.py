"""What a roster would do: each line found among those on record, then what it changes. Nothing is done here."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from training.people.rules import folded
from training.rosters.rules.changes import Refused, joining, leaving, met
from training.rosters.rules.lines import NO_CREW, Column, Flaw, Line, Wrong, tidy
from training.rosters.rules.register import ONE_DAY, Change, Known, Plan, Question, Register
from training.rosters.rules.usernames import proposed

NEW = 0


@dataclass(frozen=True, slots=True)
class Request:
    """What was brought: its lines, the answers by line (a person's number, or 0 for a new one), whether it is all."""

    lines: Sequence[Line]
    on: date
    answers: Mapping[int, int] = field(default_factory=dict)
    # Whether whoever is missing has left.
    is_everyone: bool = False
    # What was wrong with single cells already.
    wrong: tuple[Wrong, ...] = ()


@dataclass
class _Found:
    """Each line with the person it means, None for a new one."""

    pairs: list[tuple[Line, Known | None]] = field(default_factory=list)
    wrong: list[Wrong] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)


def plan(asked: Request, register: Register) -> Plan:
    """Say what a roster would do to the register, and what is wrong with it."""
    lines, wrong = _told_apart(asked.lines)
    found = _identify(lines, asked.answers, register)
    _check_once(found)
    changes, unchanged, refused = _changes(found, register, asked.on)
    every = sorted([*asked.wrong, *wrong, *found.wrong, *refused], key=lambda one: (one.line, one.flaw))
    # Who stands in a wrong line would be taken for missing.
    left, untouched = _missing(found, register, asked) if asked.is_everyone and not every else ((), ())
    return Plan((*changes, *left), unchanged, tuple(every), tuple(found.questions), untouched)


def _told_apart(lines: Sequence[Line]) -> tuple[list[Line], list[Wrong]]:
    """Leave out lines whose number or user name stands in an earlier one."""
    kept: list[Line] = []
    wrong: list[Wrong] = []
    numbers: dict[str, int] = {}
    usernames: dict[str, int] = {}
    for line in lines:
        number, username = numbers.get(line.number), usernames.get(line.username)
        if line.number and number:
            wrong.append(Wrong(line.line, Column.NUMBER, Flaw.NUMBER_TWICE, str(number)))
        elif line.username and username:
            wrong.append(Wrong(line.line, Column.USERNAME, Flaw.USERNAME_TWICE, str(username)))
        else:
            kept.append(line)
        numbers.setdefault(line.number, line.line)
        usernames.setdefault(line.username, line.line)
    return kept, wrong


def _identify(lines: Sequence[Line], answers: Mapping[int, int], register: Register) -> _Found:
    found = _Found()
    finder = _Finder(register, Counter(line.name for line in lines))
    for line in lines:
        try:
            who = finder.who(line)
        except Refused as refusal:
            found.wrong.append(refusal.of(line))
            continue
        if isinstance(who, Question):
            found = _answered(found, who, answers.get(line.line))
        else:
            found.pairs.append((line, who))
    return found


def _answered(found: _Found, question: Question, answer: int | None) -> _Found:
    by_number = {known.pk: known for known in question.people}
    if answer in by_number:
        found.pairs.append((question.line, by_number[answer]))
    elif answer == NEW and question.may_be_new:
        found.pairs.append((question.line, None))
    else:
        found.questions.append(question)
    return found


class _Finder:
    """Who a line means."""

    def __init__(self, register: Register, names: Counter[str]) -> None:
        self.names = names
        self.numbers = register.numbered()
        self.usernames = {known.username: known for known in register.people}
        self.everywhere = register.usernames
        self.named = register.named()

    def who(self, line: Line) -> Known | Question | None:
        """Return the person, None for a new one, or the question to ask. Raises Refused."""
        by_number, by_username = self.numbers.get(line.number), self.usernames.get(line.username)
        if by_number and by_username and by_number != by_username:
            raise Refused(Column.USERNAME, Flaw.TWO_PEOPLE, by_number.name)
        known = by_username or by_number
        if known:
            sure = by_username or set(folded(known.name).split()) & set(folded(line.name).split())
            return known if sure else Question(line, (known,), may_be_new=False)
        if line.username in self.everywhere:
            raise Refused(Column.USERNAME, Flaw.USERNAME_TAKEN, line.username)
        return self._by_name(line)

    def _by_name(self, line: Line) -> Known | Question | None:
        # Who has another number is somebody else.
        alike = [known for known in self.named.get(folded(line.name), ()) if not (line.number and known.number)]
        exact = [known for known in alike if tidy(known.name) == line.name]
        if len(exact) > 1 and not line.number:
            raise Refused(Column.NUMBER, Flaw.NAMESAKE, line.name)
        if len(exact) == 1 and self.names[line.name] == 1 and not line.username:
            return exact[0]
        if not alike:
            return None
        # A second person of a name is told apart by the number only.
        return Question(line, tuple(alike), may_be_new=bool(line.number) or not exact)


def _check_once(found: _Found) -> None:
    """Blame lines that mean a person an earlier line means, and new people of one name without a number."""
    seen: dict[int, int] = {}
    fresh = Counter(line.name for line, known in found.pairs if known is None)
    kept: list[tuple[Line, Known | None]] = []
    for line, known in found.pairs:
        if known and known.pk in seen:
            found.wrong.append(Wrong(line.line, None, Flaw.TWICE, str(seen[known.pk])))
        elif known is None and fresh[line.name] > 1 and not line.number:
            found.wrong.append(Wrong(line.line, Column.NUMBER, Flaw.NAMESAKE, line.name))
        else:
            kept.append((line, known))
        if known:
            seen.setdefault(known.pk, line.line)
    found.pairs = kept


def _changes(found: _Found, register: Register, on: date) -> tuple[list[Change], int, list[Wrong]]:
    changes: list[Change] = []
    wrong: list[Wrong] = []
    taken = set(register.usernames) | {line.username for line, _known in found.pairs}
    for line, known in found.pairs:
        try:
            change = met(line, known, on) if known else _new(line, taken, on)
            change = _placed(change, line, known, register, on)
        except Refused as refusal:
            wrong.append(refusal.of(line))
            continue
        if change.anything and known and not known.kept:
            wrong.append(Wrong(line.line, None, Flaw.NOT_KEPT, known.name))
        elif change.anything:
            changes.append(change)
    mentioned = {change.line for change in changes} | {one.line for one in wrong}
    return changes, sum(line.line not in mentioned for line, _known in found.pairs), wrong


def _new(line: Line, taken: set[str], on: date) -> Change:
    if line.last_day and line.last_day < on:
        raise Refused(Column.LAST_DAY, Flaw.PAST, line.last_day.isoformat())
    username = line.username or proposed(line.name, taken)
    taken.add(username)
    return Change(
        line.line,
        None,
        name=line.name,
        number=line.number,
        email=line.email,
        username=username,
        gives_role=True,
        until_on=line.last_day,
    )


def _placed(change: Change, line: Line, known: Known | None, register: Register, on: date) -> Change:
    """Add what the crews of a line change; who leaves is in none any more."""
    if known and line.last_day:
        return replace(change, **leaving(known, line.last_day, on))
    if line.crews is None:
        return change
    wanted: set[int] = set()
    for name in line.crews:
        crew = register.crew(name)
        if crew is None and line.crews != (NO_CREW,):
            raise Refused(Column.CREW, Flaw.CREW, name)
        if crew:
            _check_site(line, crew, register)
            wanted.add(crew)
    return replace(change, **joining(change, known, wanted, on))


def _check_site(line: Line, crew: int, register: Register) -> None:
    """Refuse a site that is not the one the crew goes out from: one of the two names is a slip."""
    site = register.sites.get(crew, "")
    if line.site and folded(line.site) != folded(site):
        raise Refused(Column.SITE, Flaw.SITE, site or "–")


def _missing(found: _Found, register: Register, asked: Request) -> tuple[tuple[Change, ...], tuple[Known, ...]]:
    """Let those go who are not in the file; with more than a crew member's role they are left alone, and named."""
    named = {known.pk for _line, known in found.pairs if known}
    named |= {known.pk for question in found.questions for known in question.people}
    gone: list[Change] = []
    untouched: list[Known] = []
    for known in register.people:
        if known.pk in named or not known.is_here(asked.on):
            continue
        try:
            ends = leaving(known, asked.on - ONE_DAY, asked.on)
        except Refused:
            untouched.append(known)
            continue
        if known.kept:
            gone.append(replace(Change(0, known.pk), **ends))
        else:
            untouched.append(known)
    return tuple(gone), tuple(untouched)
