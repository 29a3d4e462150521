"""Who is looked at first for each place, and what no plan can come below. Plain values only."""

from collections import Counter
from collections.abc import Sequence

from certs.crewing.rules.plan import COVER, DAY, wanted
from certs.crewing.rules.wishes import stranger
from certs.crewing.rules.writing import Asked
from certs.jobs.rules import Hand, days

Lists = dict[tuple[str, str], Sequence[Hand]]  # by job and scheme


def able(asked: Asked) -> Lists:
    """Return everybody who may fill a place on some day of a job."""
    known = {COVER: [hand for hand in asked.hands if hand.supervisor]}
    for hand in asked.hands:
        for scheme in hand.may:
            known.setdefault(scheme, []).append(hand)
    return {(job.key, scheme): known.get(scheme, ()) for job in asked.jobs for scheme, _holders in wanted(job)}


def likeliest(asked: Asked) -> Lists:
    """Return the `nearest` hands for each place: own crew, able on most days of the job, not yet on many lists."""
    listed: Counter[str] = Counter()
    everybody, chosen = able(asked), Lists()
    for job in asked.jobs:
        for scheme, holders in wanted(job):
            ranked = []
            for hand in everybody[job.key, scheme]:
                fit = sum(asked.may(hand, day, scheme) for day in days(job))
                if fit:
                    ranked.append((stranger(hand, job, scheme, job.first), -fit, listed[hand.key], hand.key, hand))
            ranked.sort(key=lambda one: one[:-1])
            found = [one[-1] for one in ranked[: max(2 * holders, asked.rules.nearest)]]
            listed.update(hand.key for hand in found)
            chosen[job.key, scheme] = found
    return chosen


def floor(asked: Asked, *, missing: int) -> int:
    """Return points that no plan with so many places left open comes below.

    Counted are hands of other crews where a crew has too few able ones, journeys to places with more people than the
    day before, and turns above the share because the able ones have too few days. An open place spares one of each.
    """
    rules, everybody, there = asked.rules, able(asked), Counter[tuple[str, object]]()
    strangers = turns = 0
    days_able: dict[str, set[object]] = {hand.key: set() for hand in asked.hands}
    for job in asked.jobs:
        for day in days(job):
            for scheme, holders in wanted(job):
                fit = [hand for hand in everybody[job.key, scheme] if asked.may(hand, day, scheme)]
                strangers += max(0, holders - sum(not stranger(hand, job, scheme, day) for hand in fit))
                turns += holders
                there[job.place, day] += holders
                for hand in fit:
                    days_able[hand.key].add(day)
    spots = {(job.place, day) for job in asked.jobs for day in days(job)}
    journeys = sum(max(0, there[place, day] - there[place, day - DAY]) for place, day in spots)
    uneven = max(0, turns - sum(min(asked.share, len(found)) for found in days_able.values()))
    spared = missing * (rules.stranger + rules.journey + rules.uneven)
    return max(0, rules.stranger * strangers + rules.journey * journeys + rules.uneven * uneven - spared)
