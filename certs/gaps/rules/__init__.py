"""The cheapest way to make jobs possible. Plain values only."""

from certs.gaps.rules.planning import Call, GapPlan, Prices, Visit, plan
from certs.gaps.rules.ways import Way, ways_of

__all__ = ["Call", "GapPlan", "Prices", "Visit", "Way", "plan", "ways_of"]
