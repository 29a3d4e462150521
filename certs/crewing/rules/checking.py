"""Judging a plan, whoever made it. Plain values only; shares no code with the making of one."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from certs.crewing.rules.plan import COVER, DAY, Rule, Rules, Turn
from certs.jobs.rules import Hand, Job, covers


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """A hard rule broken on a day, by whom and where; `number` is the days in a row, or the turns too many."""

    day: date
    hand: str
    job: str
    rule: Rule
    scheme: str = COVER
    number: int = 0


def check(turns: Sequence[Turn], jobs: Sequence[Job], hands: Sequence[Hand], *, rules: Rules) -> tuple[Fault, ...]:
    """Return every hard rule that a plan breaks, by day; what it leaves open is `shortages`, and no fault.

    A turn that names a job or a hand nobody knows is told as such and judged no further.
    """
    at, who = {job.key: job for job in jobs}, {hand.key: hand for hand in hands}
    found = [
        Fault(turn.day, turn.hand, turn.job, Rule.KNOWN, turn.scheme)
        for turn in turns
        if turn.job not in at or turn.hand not in who
    ]
    known = [turn for turn in turns if turn.job in at and turn.hand in who]
    for turn in known:
        found += (
            Fault(turn.day, turn.hand, turn.job, rule, turn.scheme)
            for rule in _alone(turn, at[turn.job], who[turn.hand])
        )
    found += _crowded(known, at)
    by_hand: dict[str, list[Turn]] = defaultdict(list)
    for turn in sorted(known):
        by_hand[turn.hand].append(turn)
    for theirs in by_hand.values():
        found += _in_time(theirs, at, rules.row)
    return tuple(sorted(found))


def _alone(turn: Turn, job: Job, hand: Hand) -> Iterator[Rule]:
    """Yield what is wrong with a turn by itself."""
    if hand.employer != job.employer:
        yield Rule.EMPLOYER
    wanted = job.cover if turn.scheme == COVER else any(want.scheme == turn.scheme for want in job.wants)
    if not wanted or not job.first <= turn.day <= job.last:
        yield Rule.WANTED
    if turn.scheme == COVER:
        if not hand.supervisor:
            yield Rule.SUPERVISOR
    elif not covers(hand.may.get(turn.scheme, ()), turn.day):
        yield Rule.CARD
    if covers(hand.away, turn.day):
        yield Rule.AWAY


def _crowded(turns: Sequence[Turn], at: dict[str, Job]) -> Iterator[Fault]:
    """Yield where more are sent than a job wants."""
    for (day, key, scheme), number in Counter((turn.day, turn.job, turn.scheme) for turn in turns).items():
        wanted = 1 if scheme == COVER else sum(want.holders for want in at[key].wants if want.scheme == scheme)
        if number > wanted > 0:
            yield Fault(day, "", key, Rule.WANTED, scheme, number - wanted)


def _in_time(turns: Sequence[Turn], at: dict[str, Job], most: int) -> Iterator[Fault]:
    """Yield what is wrong with the turns of one hand beside one another, in order of the days."""
    length, before = 0, turns[0].day
    nights: set[date] = set()
    for turn in turns:
        if length and turn.day == before:
            yield Fault(turn.day, turn.hand, turn.job, Rule.ONE_PLACE, turn.scheme)
        else:
            length = length + 1 if turn.day - before == DAY else 1
            if length > most:
                yield Fault(turn.day, turn.hand, turn.job, Rule.ROW, turn.scheme, length)
        if at[turn.job].night:
            nights.add(turn.day)
        elif turn.day - DAY in nights:
            yield Fault(turn.day, turn.hand, turn.job, Rule.REST, turn.scheme)
        before = turn.day
