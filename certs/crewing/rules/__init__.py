"""The plan of a crewing: `propose` makes one, `check` judges one, `cost` weighs one. Plain values only.

    proposal = propose(jobs, hands, rules=Rules(), progress=lambda done, of: True, seconds=60)
    faults = check(turns, jobs, hands, rules=Rules())

A plan is a tuple of `Turn`: a hand fills one place at a job on a day. What could not be filled stands in
`Proposal.short`, each with the rules that, left out one at a time, would let it be filled.
"""

from certs.crewing.rules.checking import Fault, check
from certs.crewing.rules.plan import COVER, Rule, Rules, Shortage, Turn, shortages
from certs.crewing.rules.proposing import Proposal, propose
from certs.crewing.rules.wishes import Wishes, cost

__all__ = [
    "COVER",
    "Fault",
    "Proposal",
    "Rule",
    "Rules",
    "Shortage",
    "Turn",
    "Wishes",
    "check",
    "cost",
    "propose",
    "shortages",
]
