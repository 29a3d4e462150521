"""A plan made way by way, the cheapest first: at hand at once, however large the company. Plain values only."""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date

from certs.crewing.rules import Rules, Shortage, Turn
from certs.crewing.rules.greedy import Busy
from certs.gaps.rules.parts import Call
from certs.gaps.rules.trainers import Trainers
from certs.gaps.rules.ways import DAY, Way
from certs.gaps.rules.writing import WEEKDAYS, ready, room, visit_to
from certs.jobs.rules import Hand, Job, Placed, covers

Open = dict[str, dict[tuple[date, str], int]]  # by scheme: day and job, and how many are missing


def quick(
    jobs: Sequence[Job],
    hands: Sequence[Hand],
    ranked: Sequence[Way],
    turns: Sequence[Turn],
    short: Sequence[Shortage],
    *,
    placed: Collection[Placed],
    rules: Rules,
    first: date,
    trainers: Trainers | None = None,
) -> tuple[list[Call], list[Turn]]:
    """Go one way after the other, each if it fills a place that is still open; return the calls, and the new turns.

    Visits are on `first` or a later day, and on a day on which the trainer comes already where that is in time.
    """
    made = _Making(Busy(jobs, rules), hands, short, placed, trainers)
    for turn in turns:
        made.busy.take(turn)
    for way in ranked:
        made.go(way, first)
    return made.calls, made.turns


class _Making:
    """What is planned so far."""

    def __init__(
        self,
        busy: Busy,
        hands: Sequence[Hand],
        short: Sequence[Shortage],
        placed: Collection[Placed],
        trainers: Trainers | None,
    ) -> None:
        self.busy, self.who = busy, {hand.key: hand for hand in hands}
        self.sent: Mapping[tuple[date, str], str] = {(one.on, one.hand): one.job for one in placed}
        self.calls: list[Call] = []
        self.turns: list[Turn] = []
        # How many trainers come, and who could see each person, beside what is arranged.
        self.trainers, self.comings = trainers, defaultdict[date, Counter[str]](Counter)
        self.seen: dict[tuple[str, date], list[frozenset[str]]] = defaultdict(list)
        self.open: Open = defaultdict(dict)
        for one in sorted(short, key=lambda one: (one.day, one.job)):
            self.open[one.scheme][one.day, one.job] = one.missing

    def go(self, way: Way, first: date) -> None:
        """Go a way, unless it fills nothing."""
        hand = self.who[way.hand]
        on = self._day(way, hand, first) if way.seen else way.from_on
        if on is None:
            return
        if way.seen:
            visit = visit_to(way.scheme, on)
            self.busy.at[visit.key] = visit
            self.busy.take(Turn(on, visit.key, way.scheme, hand.key))
        filled = self._filled(way, hand, on)
        if filled:
            self.calls.append(Call(way, on))
            self.turns += filled
            if way.seen:
                self._come(way, on)
        elif way.seen:
            del self.busy.days[hand.key][on]

    def _day(self, way: Way, hand: Hand, first: date) -> date | None:
        """Return the first day for a visit, or one on which the trainer comes anyway where nothing waits for it."""
        wanted = [day for day, _job in self._left(way)]
        begin = max(first, way.from_on)
        days = [begin + step * DAY for step in range((max(wanted, default=begin) - begin).days)]
        some = [way.from_on] if way.arranged else [day for day in days if day.weekday() < WEEKDAYS]
        fit = [day for day in some if self._free(hand, visit_to(way.scheme, day), day) and self._is_seen(way, day)]
        soonest = min((day for day in wanted if fit and day >= ready(way, fit[0])), default=None)
        if soonest is None:
            return None
        return next((day for day in fit if self._joins(way, day) and ready(way, day) <= soonest), fit[0])

    def _joins(self, way: Way, day: date) -> bool:
        return len(self.seen[way.scheme, day]) % room([way], len(self.who)) > 0

    def _come(self, way: Way, on: date) -> None:
        if not way.arranged:
            self.comings[on][way.scheme] += not self._joins(way, on)
            self.seen[way.scheme, on].append(self.trainers.of(way, on) if self.trainers else frozenset())

    def _is_seen(self, way: Way, day: date) -> bool:
        """Say whether a trainer is left who can come that day and see this person beside the others."""
        if self.trainers is None or way.arranged:
            return True
        these, seen = self.trainers.of(way, day), self.seen[way.scheme, day]
        for those in {these, *(those for those in seen if these <= those)}:
            if sum(one <= those for one in seen) >= room([way], len(self.who)) * len(those):
                return False
        return self._joins(way, day) or self.trainers.suffice(self.comings[day] + Counter([way.scheme]), day)

    def _left(self, way: Way) -> list[tuple[date, str]]:
        """Return where somebody is missing whom the way would make able to work there."""
        held = self.who[way.hand].may.get(way.scheme, ())
        return [where for where, many in self.open[way.scheme].items() if many and not covers(held, where[0])]

    def _filled(self, way: Way, hand: Hand, on: date) -> list[Turn]:
        found = []
        for day, key in self._left(way):
            if ready(way, on) <= day <= way.until and self._free(hand, self.busy.at[key], day):
                found.append(Turn(day, key, way.scheme, hand.key))
                self.busy.take(found[-1])
                self.open[way.scheme][day, key] -= 1
        return found

    def _free(self, hand: Hand, job: Job, day: date) -> bool:
        """Say whether somebody can be at a job, or a visit, beside what they do already and where a plan has them."""
        elsewhere = self.sent.get((day, hand.key), job.key) != job.key
        return not elsewhere and not covers(hand.away, day) and self.busy.fits(hand, job, day)
