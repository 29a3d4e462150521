"""The programme of one employer's plan: who may take which turn, what binds turns to one another, what they cost."""

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from certs.crewing.rules.plan import COVER, DAY, Rule, Rules, Turn, wanted
from certs.crewing.rules.sheet import Sheet, Solved
from certs.crewing.rules.wishes import slots, stranger
from certs.jobs.rules import Hand, Job, covers, days

Place = tuple[date, str, str]  # day, job, scheme
Candidates = Callable[[Job, str], Sequence[Hand]]


@dataclass(frozen=True, slots=True)
class Asked:
    """One employer's jobs and hands, in order of their keys, the turns that stand already, and an equal share.

    Only the days `first` to `last` are planned; on others the turns in `kept` are all there are. `without` is a rule
    left out, to see whether it is the one that blocks. With `limits`, which bounds what may be left open at each
    place, only open places count and no wish does.
    """

    jobs: tuple[Job, ...]
    hands: tuple[Hand, ...]
    kept: tuple[Turn, ...]
    share: int
    rules: Rules
    first: date = date.min
    last: date = date.max
    without: Rule | None = None
    limits: Mapping[Place, int] | None = None

    def may(self, hand: Hand, day: date, scheme: str) -> bool:
        """Say whether a hand may take a turn, by what is known of the hand alone."""
        spells = hand.may.get(scheme, ())
        if scheme == COVER:
            able = hand.supervisor
        else:
            able = bool(spells) if self.without is Rule.CARD else covers(spells, day)
        return able and (self.without is Rule.AWAY or not covers(hand.away, day))


@dataclass(slots=True)
class Diary:
    """What one hand does on the days of a plan: places of work and whether by night, and the variables of each day."""

    kept: dict[date, tuple[str, bool]] = field(default_factory=dict)
    days: dict[date, list[tuple[int, str, bool]]] = field(default_factory=lambda: defaultdict(list))

    def all(self, day: date) -> list[int]:
        """Return the variables of a day."""
        return [column for column, _place, _night in self.days.get(day, ())]

    def at(self, day: date, place: str) -> list[int]:
        """Return the variables of a day at a place of work."""
        return [column for column, where, _night in self.days.get(day, ()) if where == place]

    def by(self, day: date, *, night: bool) -> list[int]:
        """Return the variables of a day by night, or by day."""
        return [column for column, _place, dark in self.days.get(day, ()) if dark is night]


class Programme:
    """The sheet, and what its variables stand for. An open place is dearer than all wishes together."""

    def __init__(self, asked: Asked, candidates: Candidates) -> None:
        """Write everything down; `candidates` gives the hands looked at for a job's scheme, fit or not."""
        self.asked, self.sheet = asked, Sheet()
        self.turns: dict[Turn, int] = {}
        self.open: dict[Place, int] = {}
        self.dear = self._dear()
        self._diaries = {hand.key: Diary() for hand in asked.hands}
        self._kept = Counter((turn.day, turn.job, turn.scheme) for turn in asked.kept)
        at = {job.key: job for job in asked.jobs}
        for turn in asked.kept:
            self._diaries[turn.hand].kept[turn.day] = (at[turn.job].place, at[turn.job].night)
        for job in asked.jobs:
            for day in days(job):
                if asked.first <= day <= asked.last:
                    self._job(job, day, candidates)
        for hand in asked.hands:
            if self._diaries[hand.key].days:
                self._bind(self._diaries[hand.key])
                if asked.limits is None:
                    self._wish(hand, self._diaries[hand.key])

    def chosen(self, solved: Solved) -> list[Turn]:
        """Return the turns that a solution takes."""
        return [turn for turn, column in self.turns.items() if solved.values[column] > 0.5]

    def _dear(self) -> int:
        rules, asked = self.asked.rules, self.asked
        if asked.limits is not None:
            return 1
        turn = rules.stranger + 2 * rules.journey + rules.uneven
        turns = sum(
            ((job.last - job.first).days + 1) * sum(holders for _scheme, holders in wanted(job)) for job in asked.jobs
        )
        return 1 + turn * turns + rules.slot * sum(len(spells) for hand in asked.hands for spells in hand.may.values())

    def _job(self, job: Job, day: date, candidates: Candidates) -> None:
        """Write the places of a job on a day."""
        for scheme, holders in wanted(job):
            left = max(0, holders - self._kept[day, job.key, scheme])
            # A place that is filled already has nothing to choose.
            if left:
                columns = self._place(job, day, scheme, candidates)
                columns.append(self._left_open((day, job.key, scheme), left))
                self.sheet.bind(columns, lowest=left, highest=left)

    def _left_open(self, place: Place, left: int) -> int:
        limits = self.asked.limits
        self.open[place] = self.sheet.variable(self.dear, most=left if limits is None else limits.get(place, 0))
        return self.open[place]

    def _place(self, job: Job, day: date, scheme: str, candidates: Candidates) -> list[int]:
        """Write a variable for each hand that may take a place."""
        columns = []
        for hand in candidates(job, scheme):
            diary = self._diaries[hand.key]
            if self.asked.may(hand, day, scheme) and self._fits(diary, day, night=job.night):
                column = self.sheet.variable(self._price(hand, job, scheme, day), whole=True)
                self.turns[Turn(day, job.key, scheme, hand.key)] = column
                diary.days[day].append((column, job.place, job.night))
                columns.append(column)
        return columns

    def _fits(self, diary: Diary, day: date, *, night: bool) -> bool:
        """Say whether a turn goes with those of the hand that stand already."""
        before, after = diary.kept.get(day - DAY), diary.kept.get(day + DAY)
        if day in diary.kept:
            return False
        if self.asked.without is Rule.REST:
            return True
        tired = not night and before is not None and before[1]
        tiring = night and after is not None and not after[1]
        return not tired and not tiring

    def _price(self, hand: Hand, job: Job, scheme: str, day: date) -> int:
        return self.asked.rules.stranger * (self.asked.limits is None and stranger(hand, job, scheme, day))

    def _bind(self, diary: Diary) -> None:
        """Write one place a day, no day after a night, and so many days in a row at most."""
        for day in diary.days:
            if len(diary.days[day]) > 1:
                self.sheet.bind(diary.all(day), highest=1)
            early = diary.by(day + DAY, night=False)
            late = diary.by(day, night=True)
            if late and early and self.asked.without is not Rule.REST:
                self.sheet.bind([*late, *early], highest=1)
        if self.asked.without is not Rule.ROW:
            self._row(diary)

    def _row(self, diary: Diary) -> None:
        length = self.asked.rules.row + 1
        busy = {*diary.days, *diary.kept}
        for first in sorted({day - back * DAY for day in diary.days for back in range(length)}):
            days = [first + step * DAY for step in range(length)]
            if busy.issuperset(days):
                left = self.asked.rules.row - sum(day in diary.kept for day in days)
                self.sheet.bind([column for day in days for column in diary.all(day)], highest=max(0, left))

    def _wish(self, hand: Hand, diary: Diary) -> None:
        """Write what a hand's turns cost together: journeys, an uneven share, cards without a day for training."""
        self._journeys(diary)
        asked = self.asked
        every = [column for day in diary.days for column in diary.all(day)]
        if len(diary.days) + len(diary.kept) > asked.share:
            over = self.sheet.variable(asked.rules.uneven, most=len(diary.days) + len(diary.kept))
            self.sheet.bind([over], every, lowest=len(diary.kept) - asked.share)
        for free in slots(hand, asked.jobs, asked.rules.slot_days):
            if all(day in diary.days or day in diary.kept for day in free):
                none = self.sheet.variable(asked.rules.slot)
                taken = sum(day in diary.kept for day in free)
                columns = [column for day in free for column in diary.all(day)]
                self.sheet.bind([none], columns, lowest=taken - len(free) + 1)

    def _journeys(self, diary: Diary) -> None:
        """Write a journey wherever a hand is at a place without having been there the day before."""
        after = {day + DAY for day in diary.days if day + DAY in diary.kept}
        for day in sorted({*diary.days, *after}):
            kept = [diary.kept[day][0]] if day in diary.kept else []
            before = diary.kept.get(day - DAY)
            for place in kept or sorted({where for _column, where, _night in diary.days[day]}):
                if before is None or before[0] != place:
                    journey = self.sheet.variable(self.asked.rules.journey)
                    already = diary.at(day - DAY, place)
                    self.sheet.bind([journey, *already], diary.at(day, place), lowest=len(kept))
