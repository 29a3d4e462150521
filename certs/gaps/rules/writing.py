"""The programme of a gap plan. Plain values only.

Visits are written as jobs of their own, at which the person is wanted: so one place a day, the rest after a night, days
in a row and days away hold for them as for any other day of work, in the words of `certs.crewing`.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from math import ceil

from certs.crewing.rules import COVER, Rules, Turn, shortages
from certs.crewing.rules.plan import wanted
from certs.crewing.rules.writing import Asked, Candidates, Programme
from certs.gaps.rules.parts import Call, GapPlan, Prices, Visit
from certs.gaps.rules.trainers import Trainers
from certs.gaps.rules.ways import DAY, Way
from certs.jobs.rules import Hand, Job, Placed, Ranges, Want, covers, days, elsewhere, free
from certs.jobs.rules.placing import bound

# Of two plans of one cost, the one with the earlier visits: so much a day.
EARLIER = 1e-5
WEEKDAYS = 5
Key = tuple[str, str]  # hand, scheme


@dataclass(frozen=True, slots=True)
class Found:
    """A plan, and who works where by it."""

    plan: GapPlan
    turns: tuple[Turn, ...]


class Writing:
    """The programme of a gap plan; turns in `still` stand, and the days that they fill are not planned anew."""

    def __init__(
        self,
        jobs: Sequence[Job],
        hands: Sequence[Hand],
        ways: Sequence[Way],
        *,
        placed: Collection[Placed],
        rules: Rules,
        on: date,
        prices: Prices,
        notice: int,
        trainers: Trainers | None = None,
        still: Collection[Turn] = (),
    ) -> None:
        self.jobs, self.hands, self.on, self.prices, self.trainers = jobs, hands, on, prices, trainers
        known = {hand.key for hand in hands}
        self.ways = [way for way in ways if way.hand in known]
        self.kept = tuple(sorted({*kept(jobs, hands, placed), *still}))
        last = max((one.day for one in shortages(self.kept, jobs)), default=on)
        self.coming = _comings(self.ways, on + notice * DAY, last)
        every = (*jobs, *self.coming)
        limits = {(day, job.key, scheme): many for job in every for day in days(job) for scheme, many in wanted(job)}
        able = _able(hands, self.ways, last)
        asked = Asked(every, able, self.kept, 0, rules, limits=limits)
        self.made = Programme(asked, _candidates(able, placed))
        self.chosen: dict[int, tuple[Way, date]] = {}
        self._ways()
        self._comings()
        self._open()

    def solved(self, seconds: float) -> Found | None:
        """Solve it and read the plan off; None where nothing was found in time."""
        found = self.made.sheet.solve(seconds=seconds)
        if self.made.sheet.costs and not found.values:
            return None
        taken = {column for column in range(len(found.values)) if found.values[column] > 0.5}
        calls = sorted(
            (Call(way, day) for column, (way, day) in self.chosen.items() if column in taken),
            key=lambda call: (call.on, call.way.scheme, call.way.hand),
        )
        visits = {job.key for job in self.coming}
        turns = (turn for turn, column in self.made.turns.items() if column in taken and turn.job not in visits)
        return found_by((*self.kept, *turns), calls, self.jobs, prices=self.prices, proven=found.proven)

    def _ways(self) -> None:
        """Write what each way costs, that it is gone once, and that nobody works by it before."""
        sheet, turns = self.made.sheet, self.made.turns
        gone: dict[Way, list[tuple[int, date]]] = defaultdict(list)
        for way in self.ways:
            price = float(self.prices.of(way))
            if way.seen:
                for job in self.coming:
                    column = turns.get(Turn(job.first, job.key, _seen(way.scheme), way.hand))
                    if column is not None:
                        gone[way].append((column, job.first))
            else:
                gone[way].append((sheet.variable(price, whole=True), way.from_on))
            for column, day in gone[way]:
                sheet.costs[column] = price + EARLIER * (day - self.on).days
                self.chosen[column] = (way, day)
            if len(gone[way]) > 1:
                sheet.bind([column for column, _day in gone[way]], highest=1)
        self._bind_work(gone)

    def _bind_work(self, gone: Mapping[Way, Sequence[tuple[int, date]]]) -> None:
        mine: dict[Key, list[Way]] = defaultdict(list)
        for way in self.ways:
            mine[way.hand, way.scheme].append(way)
        held = {hand.key: hand.may for hand in self.hands}
        work: dict[Key, dict[date, list[int]]] = defaultdict(lambda: defaultdict(list))
        for turn, column in self.made.turns.items():
            key = turn.hand, turn.scheme
            if key in mine and not covers(held[turn.hand].get(turn.scheme, ()), turn.day):
                work[key][turn.day].append(column)
        for key, columns in work.items():
            by: dict[date, list[int]] = defaultdict(list)
            for way in mine[key]:
                for day, column in self._gone_by(way, gone[way], sorted(columns)):
                    by[day].append(column)
            for day, some in columns.items():
                self.made.sheet.bind(by[day], some, lowest=0)

    def _gone_by(
        self, way: Way, gone: Sequence[tuple[int, date]], wanted_on: Sequence[date]
    ) -> Iterator[tuple[date, int]]:
        """Yield for each day what says that the card holds by a way then: after the visit, and after its decision."""
        sheet, so_far, left = self.made.sheet, list[int](), list(gone)
        for day in wanted_on:
            if day > way.until:
                return
            fresh = [column for column, when in left if ready(way, when) <= day]
            if fresh:
                left = [(column, when) for column, when in left if ready(way, when) > day]
                # Summed up step by step: each day would name every visit before it otherwise.
                level = sheet.variable(0)
                sheet.bind([*so_far, *fresh], [level], lowest=0, highest=0)
                so_far = [level]
            if so_far:
                yield day, so_far[0]

    def _comings(self) -> None:
        """Write how often a trainer comes for a scheme on a day; to what is arranged somebody comes anyway."""
        there: dict[tuple[date, bool], dict[str, list[tuple[int, Way]]]] = defaultdict(lambda: defaultdict(list))
        for column, (way, day) in self.chosen.items():
            if way.seen:
                there[day, way.arranged][way.scheme].append((column, way))
        for (day, is_arranged), found in there.items():
            comings = {scheme: self._coming(some) for scheme, some in found.items()}
            if self.trainers is not None and not is_arranged:
                self._bind_trainers(self.trainers, day, found, comings)

    def _coming(self, found: Sequence[tuple[int, Way]]) -> int:
        coming = self.made.sheet.variable(float(self.prices.coming), most=len(found), whole=True)
        self.made.sheet.bind([coming] * _room(found), [column for column, _way in found], lowest=0)
        return coming

    def _bind_trainers(
        self,
        trainers: Trainers,
        day: date,
        found: Mapping[str, Sequence[tuple[int, Way]]],
        comings: Mapping[str, int],
    ) -> None:
        """Let no more come than can that day, and nobody be seen but by who may assess them."""
        sheet = self.made.sheet
        for some, many in trainers.limits(found, day):
            sheet.bind([comings[one] for one in some], highest=many)
        for calls in found.values():
            by = {column: trainers.of(way, day) for column, way in calls}
            for these in sorted(set(by.values()), key=sorted):
                sheet.bind([column for column in by if by[column] <= these], highest=_room(calls) * len(these))

    def _open(self) -> None:
        """Price an open place of a job above everything else, and one at a visit at nothing."""
        sheet = self.made.sheet
        dear = 1 + ceil(sum(sheet.costs[column] + float(self.prices.coming) for column in self.chosen))
        visits = {job.key for job in self.coming}
        for (_day, job, _scheme), column in self.made.open.items():
            sheet.costs[column] = 0 if job in visits else dear


def kept(jobs: Sequence[Job], hands: Sequence[Hand], placed: Collection[Placed]) -> tuple[Turn, ...]:
    """Return the turns of those who are placed and may go as things stand."""
    sent: dict[tuple[str, date], list[Placed]] = defaultdict(list)
    for one in placed:
        sent[one.job, one.on].append(one)
    there = ((job, day, sent[job.key, day]) for job in jobs for day in days(job) if (job.key, day) in sent)
    return tuple(
        Turn(day, job.key, COVER if seat.scheme is None else seat.scheme, hand.key)
        for job, day, ours in there
        for seat, hand in bound(job, hands, ours, on=day)
    )


def _candidates(hands: Sequence[Hand], placed: Collection[Placed]) -> Candidates:
    """Return who is looked at for a scheme at a job: on days on which they are placed at another one, they are away."""
    # No job has an empty key: who is free for whatever no plan places anybody at, so for a visit too.
    lists = {key: _by_scheme(free(hands, elsewhere(placed, key))) for key in ("", *{one.job for one in placed})}
    return lambda job, scheme: lists.get(job.key, lists[""]).get(scheme, ())


def _by_scheme(hands: Sequence[Hand]) -> dict[str, list[Hand]]:
    found: dict[str, list[Hand]] = {COVER: [hand for hand in hands if hand.supervisor]}
    for hand in hands:
        for scheme in hand.may:
            found.setdefault(scheme, []).append(hand)
    return found


def _seen(scheme: str) -> str:
    """Name what a visit for a scheme wants, so that no card of the scheme itself lets a person in."""
    return f"to show {scheme}"


def _comings(ways: Sequence[Way], first: date, last: date) -> list[Job]:
    """Return a visit to each scheme on each weekday on which somebody could show the practical in time.

    What is arranged already is on its day, however near.
    """
    made = []
    for scheme in sorted({way.scheme for way in ways if way.seen}):
        mine = [way for way in ways if way.scheme == scheme and way.seen]
        begin = max(first, min(way.from_on for way in mine))
        every = (begin + step * DAY for step in range((last - begin).days))
        on = {day for day in every if day.weekday() < WEEKDAYS}
        on |= {way.from_on for way in mine if way.arranged and way.from_on < last}
        made += [visit_to(scheme, day, len(mine)) for day in sorted(on)]
    return made


def visit_to(scheme: str, day: date, most: int = 1) -> Job:
    """Return a visit as a job, at which so many can be seen at most."""
    return Job(
        key=f"visit {scheme} {day.isoformat()}",
        employer="",
        place="",
        first=day,
        last=day,
        wants=(Want(_seen(scheme), most),),
        bonds=0,
        cold=False,
        night=False,
        crew=None,
        cover=False,
    )


def _room(found: Sequence[tuple[int, Way]]) -> int:
    return room([way for _column, way in found], len(found))


def room(ways: Sequence[Way], most: int) -> int:
    """Return how many a trainer sees on a day; of `most` all, where it takes no time."""
    each = max(way.trainer for way in ways)
    return max(1, int(1 / each)) if each else max(1, most)


def _able(hands: Sequence[Hand], ways: Sequence[Way], last: date) -> tuple[Hand, ...]:
    """Return the hands as if every way were gone, as early as it can be."""
    may: dict[str, dict[str, Ranges]] = defaultdict(dict)
    held = {hand.key: hand.may for hand in hands}
    for way in ways:
        theirs = may[way.hand]
        before = theirs.get(way.scheme) or held[way.hand].get(way.scheme, ())
        theirs[way.scheme] = (*before, (ready(way, way.from_on), way.until))
        if way.seen:
            theirs[_seen(way.scheme)] = ((way.from_on, way.seen_until(last)),)
    return tuple(replace(hand, may={**hand.may, **may[hand.key]}) if hand.key in may else hand for hand in hands)


def ready(way: Way, gone: date) -> date:
    """Return from which day on a card holds by a way gone on a day."""
    return gone + (way.after + 1) * DAY * way.seen


def found_by(
    turns: Sequence[Turn], calls: Sequence[Call], jobs: Sequence[Job], *, prices: Prices, proven: bool
) -> Found:
    """Return the plan of some calls, and of those who work by it."""
    visits = _visits([call for call in calls if call.way.seen])
    plan = GapPlan(
        visits=visits,
        alone=tuple(call for call in calls if not call.way.seen),
        as_is=(),
        short=shortages(turns, jobs),
        trainer=sum((call.way.trainer for call in calls), Decimal(0)),
        person=sum((call.way.person for call in calls), Decimal(0)),
        cost=sum((prices.of(call.way) for call in calls), prices.coming * len(visits)),
        proven=proven,
    )
    return Found(plan, tuple(turns))


def _visits(calls: Sequence[Call]) -> tuple[Visit, ...]:
    """Put calls together into visits that fit into a day; nobody is added to one that is arranged."""
    found: dict[tuple[date, str, bool], list[Call]] = defaultdict(list)
    for call in calls:
        found[call.on, call.way.scheme, call.way.arranged].append(call)
    made = []
    for (day, scheme, _is_arranged), some in sorted(found.items(), key=lambda one: one[0]):
        many = room([call.way for call in some], len(some))
        made += [Visit(day, scheme, tuple(some[at : at + many])) for at in range(0, len(some), many)]
    return tuple(made)
