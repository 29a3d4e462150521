"""The cheapest way to make jobs possible. Plain values only."""

from certs.gaps.rules.bound import Bound, bound_elsewhere
from certs.gaps.rules.parts import Call, GapPlan, Prices, Visit
from certs.gaps.rules.planning import AsIs, as_is, plan
from certs.gaps.rules.trainers import Trainers
from certs.gaps.rules.ways import Way, ways_of

__all__ = [
    "AsIs",
    "Bound",
    "Call",
    "GapPlan",
    "Prices",
    "Trainers",
    "Visit",
    "Way",
    "as_is",
    "bound_elsewhere",
    "plan",
    "ways_of",
]
