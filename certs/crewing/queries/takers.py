"""Who could take a place of a plan: told before somebody is chosen, so that nobody has to be tried one by one."""

from datetime import date

from certs.crewing.models import Plan
from certs.crewing.queries.inputs import RULES, inputs_of, turns_of
from certs.crewing.rules import COVER, Turn, check
from certs.jobs.rules import Hand, covers

# A list of names helps as long as it can be read; each name costs a judgement of the whole plan.
LISTED = 20


def takers(plan: Plan, *, on: date, job: int, scheme: str, before: int | None) -> tuple[str, ...]:
    """Return by name who could take a place instead of whoever has it, without a rule broken that was not before."""
    known, given = inputs_of(plan), Turn(on, str(job), scheme, str(before))
    kept = [turn for turn in turns_of(plan) if turn != given]
    old = set(check(kept, known.jobs, known.hands, rules=RULES))
    busy = {turn.hand for turn in kept if turn.day == on} | {given.hand}
    found = [one for one in known.hands if one.key not in busy and _may(one, scheme, on)]
    return tuple(
        one.name
        for one in found[:LISTED]
        if set(check([*kept, Turn(on, str(job), scheme, one.key)], known.jobs, known.hands, rules=RULES)) <= old
    )


def _may(hand: Hand, scheme: str, on: date) -> bool:
    """Say whether a person has the card or the role for a place, and is there that day."""
    able = hand.supervisor if scheme == COVER else covers(hand.may.get(scheme, ()), on)
    return able and not covers(hand.away, on)
