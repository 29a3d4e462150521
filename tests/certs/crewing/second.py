"""The best plan by another solver: CBC, through pulp, with pairs of days instead of journeys counted by place."""

from collections.abc import Callable
from datetime import date, timedelta
from itertools import count

import pulp

from certs.crewing.rules import COVER, Rules
from certs.jobs.rules import Hand, Job

DAY = timedelta(days=1)
Slot = tuple[str, date, str, str]  # hand, day, job, scheme


def best_by_cbc(jobs: list[Job], hands: list[Hand], rules: Rules) -> tuple[int, int]:
    """Return the fewest places left open, then the fewest points with so many, in two runs."""
    model = _Model(jobs, hands, rules)
    missing = model.run(pulp.lpSum(model.open))
    model.problem += pulp.lpSum(model.open) <= missing
    return missing, model.run(model.points)


class _Model:
    """One binary a hand, day, job and scheme; a journey is saved where a pair of days at one place is chosen."""

    def __init__(self, jobs: list[Job], hands: list[Hand], rules: Rules) -> None:
        self.problem, self.rules, self.names = pulp.LpProblem("crewing", pulp.LpMinimize), rules, count()
        self.at = {job.key: job for job in jobs}
        self.x: dict[Slot, pulp.LpVariable] = {}
        self.open: list[pulp.LpVariable] = []
        turns = 0
        for job in jobs:
            for step in range((job.last - job.first).days + 1):
                for scheme, holders in [(want.scheme, want.holders) for want in job.wants] + [(COVER, 1)] * job.cover:
                    self._place(job, job.first + step * DAY, scheme, holders, hands)
                    turns += holders
        self.share = -(-turns // len(hands))
        self.first, self.last = min(job.first for job in jobs), max(job.last for job in jobs)
        self.days = [self.first + step * DAY for step in range((self.last - self.first).days + 1)]
        self.points = pulp.lpSum(self._hand(hand) for hand in hands)

    def run(self, objective: pulp.LpAffineExpression) -> int:
        self.problem.setObjective(objective)
        solver = pulp.PULP_CBC_CMD(msg=False, threads=1, gapRel=0, timeLimit=60)
        assert self.problem.solve(solver) == pulp.LpStatusOptimal
        return round(pulp.value(objective) or 0)

    def _variable(self, most: int | None, kind: str) -> pulp.LpVariable:
        return pulp.LpVariable(f"v{next(self.names)}", 0, most, cat=kind)

    def _place(self, job: Job, on: date, scheme: str, holders: int, hands: list[Hand]) -> None:
        takers = []
        for hand in hands:
            spells = hand.may.get(scheme, ())
            able = hand.supervisor if scheme == COVER else any(first <= on <= last for first, last in spells)
            if able and not any(first <= on <= last for first, last in hand.away):
                self.x[hand.key, on, job.key, scheme] = self._variable(1, pulp.LpBinary)
                takers.append(self.x[hand.key, on, job.key, scheme])
        self.open.append(self._variable(holders, pulp.LpInteger))
        self.problem += pulp.lpSum(takers) + self.open[-1] == holders

    def _hand(self, hand: Hand) -> pulp.LpAffineExpression:
        mine = {slot: variable for slot, variable in self.x.items() if slot[0] == hand.key}

        def on(day: date, keep: Callable[[Job], bool] = lambda _job: True) -> pulp.LpAffineExpression:
            return pulp.lpSum(one for slot, one in mine.items() if slot[1] == day and keep(self.at[slot[2]]))

        for day in self.days:
            self.problem += on(day) <= 1
            self.problem += on(day, lambda job: job.night) + on(day + DAY, lambda job: not job.night) <= 1
            self.problem += pulp.lpSum(on(day + step * DAY) for step in range(self.rules.row + 1)) <= self.rules.row
        strangers = pulp.lpSum(
            one for slot, one in mine.items() if slot[3] != COVER and self.at[slot[2]].crew not in (None, hand.crew)
        )
        saved = []
        for day in self.days[1:]:
            for place in sorted({self.at[slot[2]].place for slot in mine}):
                stays = self._variable(1, pulp.LpBinary)
                for both in (day, day - DAY):
                    self.problem += stays <= on(both, lambda job, place=place: job.place == place)
                saved.append(stays)
        total = pulp.lpSum(mine.values())
        over = self._variable(None, pulp.LpContinuous)
        self.problem += over >= total - self.share
        rules = self.rules
        journeys = rules.journey * (total - pulp.lpSum(saved))
        return rules.stranger * strangers + journeys + rules.uneven * over + rules.slot * self._slots(hand, on)

    def _slots(self, hand: Hand, on: Callable[[date], pulp.LpAffineExpression]) -> pulp.LpAffineExpression:
        missed = []
        for spells in hand.may.values():
            for _first, last in spells:
                if self.first <= last <= self.last:
                    days = [last - back * DAY for back in range(self.rules.slot_days)]
                    free = [
                        day
                        for day in days
                        if day >= self.first and not any(first <= day <= end for first, end in hand.away)
                    ]
                    if free:
                        missed.append(self._variable(1, pulp.LpBinary))
                        self.problem += missed[-1] >= pulp.lpSum(on(day) for day in free) - len(free) + 1
        return pulp.lpSum(missed)
