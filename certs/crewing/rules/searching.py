"""Searching one employer's plan: whole where it is small, some days at a time where it is not. Plain values only."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from time import monotonic

from certs.crewing.rules.greedy import greedy
from certs.crewing.rules.likely import Lists, able, floor, likeliest
from certs.crewing.rules.plan import COVER, DAY, RELAXED, Rule, Shortage, Turn, shortages
from certs.crewing.rules.sheet import MOST_NODES
from certs.crewing.rules.wishes import cost
from certs.crewing.rules.writing import Asked, Place, Programme
from certs.jobs.rules import Hand, Job, days

SMALL = 2000  # possible turns of a plan that is solved whole
WINDOW = 4  # days planned at a time, moved on by half of it
ROUNDS = 2  # times that all days are gone through at most
NODES = 50  # branches of the search for these days
EXPLAINED = 12  # open places looked into for the rule that blocks

Progress = Callable[[int, int], bool]


class Clock:
    """Tells how far the search is, and when it is to end."""

    def __init__(self, progress: Progress, ends: float) -> None:
        self.progress, self.ends = progress, ends
        self.done = self.of = 0
        self.stopped = False

    def step(self) -> float:
        """Tell of a step about to be made; return the seconds left for it, none when the search is to end."""
        self.stopped = self.stopped or not self.progress(self.done, self.of) or monotonic() >= self.ends
        self.done += 1
        return 0 if self.stopped else self.ends - monotonic()


class Part:
    """The plan of one employer on its way: `plan` breaks no rule at any time, and only gets better."""

    def __init__(self, asked: Asked, clock: Clock) -> None:
        self.asked, self.clock = asked, clock
        self.plan = greedy(asked.jobs, asked.hands, asked.kept, share=asked.share, rules=asked.rules)
        self.first, self.last = min(job.first for job in asked.jobs), max(job.last for job in asked.jobs)
        self._everybody, self.proven = able(asked), False
        lasts = {job.key: len(days(job)) for job in asked.jobs}
        turns = sum(lasts[key] * len(hands) for (key, _scheme), hands in self._everybody.items())
        self.small = turns <= SMALL
        self.windows = [(self.first, self.last)] if self.small else [*_windows(self.first, self.last)]
        self.steps = len(self.windows) * (1 if self.small else ROUNDS)

    def search(self) -> None:
        """Make the plan as good as the time allows."""
        if self.small:
            seconds = self.clock.step()
            self.proven = bool(seconds) and self._improve(self.first, self.last, self._everybody, seconds)
            return
        near, before = likeliest(self.asked), tuple[Turn, ...]()
        for number in range(ROUNDS):
            self.clock.done = number * len(self.windows)
            if self.plan == before:
                break
            before = self.plan
            for first, last in self.windows:
                if seconds := self.clock.step():
                    self._improve(first, last, near, seconds)

    @property
    def least(self) -> int:
        """Return points that no plan leaving as little open comes below."""
        missing, points = self._weight(self.plan)
        return points if self.proven else min(points, floor(self.asked, missing=missing))

    def _weight(self, plan: Sequence[Turn]) -> tuple[int, int]:
        """Return what makes a plan worse: places left open, then points of wishes."""
        asked = self.asked
        missing = sum(one.missing for one in shortages(plan, asked.jobs))
        return missing, cost(plan, asked.jobs, asked.hands, rules=asked.rules).points

    def _improve(self, first: date, last: date, lists: Lists, seconds: float) -> bool:
        """Plan these days anew, all others standing still; say whether nothing better can be had."""
        asked = self._on(first, last)
        programme = Programme(asked, self._looked_at(lists, first, last))
        solved = programme.sheet.solve(seconds=seconds, nodes=MOST_NODES if self.small else NODES)
        if solved.values:
            plan = tuple(sorted({*asked.kept, *programme.chosen(solved)}))
            if self._weight(plan) < self._weight(self.plan):
                self.plan = plan
        return solved.proven

    def _on(self, first: date, last: date) -> Asked:
        """Return what is asked when every turn outside these days stands."""
        still = (turn for turn in self.plan if not first <= turn.day <= last)
        return replace(self.asked, kept=tuple(sorted({*self.asked.kept, *still})), first=first, last=last)

    def _looked_at(self, lists: Lists, first: date, last: date) -> Callable[[Job, str], Sequence[Hand]]:
        """Return who is looked at for a place: the listed, and those who have it now."""
        who, now = {hand.key: hand for hand in self.asked.hands}, defaultdict[tuple[str, str], set[str]](set)
        for turn in self.plan:
            if first <= turn.day <= last:
                now[turn.job, turn.scheme].add(turn.hand)

        def looked_at(job: Job, scheme: str) -> Sequence[Hand]:
            near = lists[job.key, scheme]
            return [*near, *(who[key] for key in sorted(now[job.key, scheme] - {hand.key for hand in near}))]

        return looked_at

    def explained(self) -> list[Shortage]:
        """Return what the plan leaves open, each with the rules of which one alone is in the way."""
        short = list(shortages(self.plan, self.asked.jobs))
        limits = {(one.day, one.job, one.scheme): one.missing for one in short}
        held = {COVER, *(scheme for hand in self.asked.hands for scheme, spells in hand.may.items() if spells)}
        # Where nobody has a card at any time no rule is in the way.
        looked = [place for place, one in enumerate(short) if one.scheme in held]
        for place in looked[:EXPLAINED]:
            one = short[place]
            short[place] = replace(one, without=tuple(rule for rule in RELAXED if self._opens(one, rule, limits)))
        return short

    def _opens(self, one: Shortage, rule: Rule, limits: Mapping[Place, int]) -> bool:
        """Say whether one more holder could go without a rule, no other place being emptied for it."""
        seconds = self.clock.ends - monotonic()
        reach = self.asked.rules.row * DAY
        mine = {(one.day, one.job, one.scheme): one.missing - 1}
        asked = replace(self._on(one.day - reach, one.day + reach), without=rule, limits={**limits, **mine})
        programme = Programme(asked, lambda job, scheme: self._everybody[job.key, scheme])
        return not self.clock.stopped and programme.sheet.solve(seconds=min(seconds, 2), nodes=NODES).values != ()


def _windows(first: date, last: date) -> Iterator[tuple[date, date]]:
    """Yield stretches of days that overlap by half and reach from the first day to the last."""
    while first <= last:
        yield first, first + (WINDOW - 1) * DAY
        first += WINDOW // 2 * DAY
