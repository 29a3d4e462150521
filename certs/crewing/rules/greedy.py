"""A plan made place by place, the scarcest first: at hand at once, and what the optimiser is measured against."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from certs.crewing.rules.plan import COVER, DAY, Rules, Turn, wanted
from certs.crewing.rules.wishes import stranger
from certs.jobs.rules import Hand, Job, covers, days


class Busy:
    """What everybody does so far, on which day at which job."""

    def __init__(self, jobs: Sequence[Job], rules: Rules) -> None:
        self.at, self.rules = {job.key: job for job in jobs}, rules
        self.days: dict[str, dict[date, Job]] = defaultdict(dict)

    def take(self, turn: Turn) -> None:
        """Note a turn."""
        self.days[turn.hand][turn.day] = self.at[turn.job]

    def fits(self, hand: Hand, job: Job, day: date) -> bool:
        """Say whether a turn on this day goes with the hand's other turns."""
        busy = self.days[hand.key]
        before, after = busy.get(day - DAY), busy.get(day + DAY)
        if day in busy or (not job.night and before and before.night) or (job.night and after and not after.night):
            return False
        length = 1
        for step in (DAY, -DAY):
            there = day + step
            while there in busy:
                there, length = there + step, length + 1
        return length <= self.rules.row

    def price(self, hand: Hand, job: Job, turn: Turn, share: int) -> int:
        """Return what a turn adds to the cost, as far as the days beside it tell."""
        busy = self.days[hand.key]
        before, after = busy.get(turn.day - DAY), busy.get(turn.day + DAY)
        points = self.rules.stranger * stranger(hand, job, turn.scheme, turn.day) + self.rules.uneven * (
            len(busy) >= share
        )
        arrives = before is None or before.place != job.place
        spares = after is not None and after.place == job.place
        return points + self.rules.journey * (arrives - spares)


def greedy(
    jobs: Sequence[Job], hands: Sequence[Hand], kept: Sequence[Turn], *, share: int, rules: Rules
) -> tuple[Turn, ...]:
    """Return one employer's plan: day by day, the place with fewest people for it first, the cheapest hand for each."""
    known, made = Busy(jobs, rules), [*kept]
    for turn in kept:
        known.take(turn)
    able = {scheme: [hand for hand in hands if scheme in hand.may] for hand in hands for scheme in hand.may}
    able[COVER] = [hand for hand in hands if hand.supervisor]
    places = [
        (day, len(able.get(scheme, ())), job.key, scheme, holders)
        for job in jobs
        for day in days(job)
        for scheme, holders in wanted(job)
    ]
    for day, _scarce, key, scheme, holders in sorted(places):
        left = holders - sum((turn.day, turn.job, turn.scheme) == (day, key, scheme) for turn in kept)
        fit = [hand for hand in able.get(scheme, ()) if scheme == COVER or covers(hand.may[scheme], day)]
        made += _filled(known, fit, Turn(day, key, scheme, ""), left, share)
    return tuple(sorted(made))


def _filled(known: Busy, able: Sequence[Hand], place: Turn, left: int, share: int) -> list[Turn]:
    """Fill so many places with the cheapest hands who can take them."""
    job, day = known.at[place.job], place.day
    prices = [
        (known.price(hand, job, place, share), hand.key)
        for hand in able
        if not covers(hand.away, day) and known.fits(hand, job, day)
    ]
    made = [Turn(day, place.job, place.scheme, key) for _price, key in sorted(prices)[: max(0, left)]]
    for turn in made:
        known.take(turn)
    return made
