"""Making a plan: employer by employer, first among the likeliest hands, then among all. Plain values only."""

from collections.abc import Sequence
from dataclasses import dataclass
from time import monotonic

from certs.crewing.rules.plan import Rules, Shortage, Turn
from certs.crewing.rules.searching import Clock, Part, Progress
from certs.crewing.rules.wishes import Wishes, cost, shares
from certs.crewing.rules.writing import Asked
from certs.jobs.rules import Hand, Job


@dataclass(frozen=True, slots=True)
class Proposal:
    """A plan that breaks no hard rule, what it leaves open and what it costs.

    No plan that leaves as little open costs less than `least` points; `proven` says that this one is a best plan, and
    `stopped` that the search was ended early, by the time or by the caller, with the best plan found so far.
    """

    turns: tuple[Turn, ...]
    short: tuple[Shortage, ...]
    wishes: Wishes
    least: int
    proven: bool
    stopped: bool

    @property
    def gap(self) -> float:
        """Return how much of the cost a better plan could save at most, from nought to one."""
        return 1 - self.least / self.wishes.points if self.wishes.points else 0.0


def propose(
    jobs: Sequence[Job],
    hands: Sequence[Hand],
    *,
    rules: Rules,
    kept: Sequence[Turn] = (),
    progress: Progress | None = None,
    seconds: float = 60,
) -> Proposal:
    """Return the cheapest plan found in so many seconds that leaves as little open as can be.

    `kept` are turns of these jobs and hands that stand already: they stay as they are, right or wrong, and count for
    every rule. `progress` is told before each step how many steps are done and of how many; answering False ends the
    search. The same jobs and hands in any order give the same plan, unless the search is ended early.

    A small plan (an employer with up to SMALL possible turns) is solved whole and is a best plan. A larger one begins
    with the greedy plan and is made better by WINDOW days at a time, all else standing still, among the `nearest`
    hands for each place, till nothing gets better. Bound: 500 hands and 200 jobs over 30 days within 30 seconds of
    one core, at most 0.9 times the cost of the greedy plan (`manage.py bench crewing`).
    """
    jobs = sorted(jobs, key=lambda job: job.key)
    hands = sorted(hands, key=lambda hand: hand.key)
    clock = Clock(progress or (lambda _done, _of: True), monotonic() + seconds)
    parts = [Part(asked, clock) for asked in by_employer(jobs, hands, sorted(kept), rules)]
    clock.of = sum(part.steps for part in parts)
    for part in parts:
        part.search()
    plan = tuple(sorted(turn for part in parts for turn in part.plan))
    short = tuple(sorted((one for part in parts for one in part.explained()), key=lambda one: (one.day, one.job)))
    wishes = cost(plan, jobs, hands, rules=rules)
    return Proposal(
        plan, short, wishes, sum(part.least for part in parts), all(part.proven for part in parts), clock.stopped
    )


def by_employer(jobs: Sequence[Job], hands: Sequence[Hand], kept: Sequence[Turn], rules: Rules) -> list[Asked]:
    """Split what is asked by employer: nobody works for another one."""
    share, found = shares(jobs, hands), []
    for employer in sorted({job.employer for job in jobs}):
        theirs = tuple(job for job in jobs if job.employer == employer)
        keys = {job.key for job in theirs}
        found.append(
            Asked(
                theirs,
                tuple(hand for hand in hands if hand.employer == employer),
                tuple(turn for turn in kept if turn.job in keys),
                share.get(employer, 0),
                rules,
            )
        )
    return found
