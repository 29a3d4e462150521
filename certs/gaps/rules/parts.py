"""What a gap plan is made of. Plain values only."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from certs.crewing.rules import Shortage
from certs.gaps.rules.ways import Way


@dataclass(frozen=True, slots=True)
class Prices:
    """What weighs how much: a trainer's day, a day of the person, and each coming of a trainer (own figures)."""

    trainer: Decimal = Decimal(2)
    person: Decimal = Decimal(1)
    coming: Decimal = Decimal("0.5")

    def of(self, way: Way) -> Decimal:
        """Return what it costs to go a way, the coming of the trainer apart."""
        return Decimal(0) if way.arranged else self.trainer * way.trainer + self.person * way.person


@dataclass(frozen=True, slots=True)
class Call:
    """A way to be gone; `on` is the day of the visit, or the day by which it is done where no trainer comes."""

    way: Way
    on: date


@dataclass(frozen=True, slots=True)
class Visit:
    """A trainer comes for a scheme on a day, to these people; no more than fit into the day."""

    on: date
    scheme: str
    calls: tuple[Call, ...]

    @property
    def trainer(self) -> Decimal:
        """Return the days of a trainer it takes."""
        return sum((call.way.trainer for call in self.calls), Decimal(0))


@dataclass(frozen=True, slots=True)
class GapPlan:
    """Visits, what people do without a trainer, what stays open all the same, and the cost by the prices.

    `as_is` is what is open with nothing done, and `sure` says that it is no less. `proven` says that no plan leaves
    less open, nor costs less.
    """

    visits: tuple[Visit, ...]
    alone: tuple[Call, ...]
    as_is: tuple[Shortage, ...]
    short: tuple[Shortage, ...]
    trainer: Decimal
    person: Decimal
    cost: Decimal
    proven: bool
    sure: bool = True

    @property
    def missing(self) -> int:
        """Return how many places stay open."""
        return sum(one.missing for one in self.short)

    @property
    def before(self) -> int:
        """Return how many places are open with nothing done."""
        return sum(one.missing for one in self.as_is)
