"""Choosing whom to bring to which card, and on which days a trainer comes. Plain values only."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from certs.crewing.rules import Rules
from certs.gaps.rules.parts import GapPlan, Prices
from certs.gaps.rules.ways import Way
from certs.gaps.rules.writing import Writing
from certs.jobs.rules import Hand, Job, Placed


def plan(
    jobs: Sequence[Job],
    hands: Sequence[Hand],
    ways: Sequence[Way],
    *,
    rules: Rules,
    on: date,
    placed: Collection[Placed] = (),
    prices: Prices | None = None,
    notice: int = 1,
    seconds: float = 20,
) -> GapPlan:
    """Return the cheapest plan after day `on` that leaves as few places of one employer's jobs open as can be.

    Jobs lie after that day, and visits at least `notice` days after it. Whom `placed` sends to a job keeps that place
    while they may go, and is at no other job and no visit that day. The same jobs, hands and ways in any order give the
    same plan, unless the time is up.
    """
    jobs, hands = sorted(jobs, key=lambda job: job.key), sorted(hands, key=lambda hand: hand.key)
    ways = sorted(ways, key=lambda way: (way.hand, way.scheme, way.steps))
    writing = partial(Writing, jobs, hands, placed=placed, rules=rules, on=on, prices=prices or Prices(), notice=notice)
    nothing = writing(()).solved(seconds / 2)
    if not nothing.short:
        return nothing
    return replace(writing(ways).solved(seconds), as_is=nothing.short)
