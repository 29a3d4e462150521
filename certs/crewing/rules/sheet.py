"""A mixed-integer programme written down variable by variable and row by row, and its solution."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import scipy

MOST_NODES = 100_000


@dataclass(frozen=True, slots=True)
class Solved:
    """The values of the variables, or none where there is no solution or none was found; `proven` if it is a best."""

    values: tuple[float, ...]
    proven: bool


@dataclass(slots=True)
class Sheet:
    """Costs to be kept low, whole or continuous variables from nought up, and rows that bound sums of them."""

    costs: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    _rows: list[int] = field(default_factory=list)
    _columns: list[int] = field(default_factory=list)
    _factors: list[float] = field(default_factory=list)
    _lowest: list[float] = field(default_factory=list)
    _highest: list[float] = field(default_factory=list)

    def variable(self, cost: float, *, most: float = 1, whole: bool = False) -> int:
        """Add a variable and return its number."""
        self.costs.append(cost)
        self.most.append(most)
        self.whole.append(int(whole))
        return len(self.costs) - 1

    def bind(
        self,
        plus: Iterable[int],
        minus: Iterable[int] = (),
        *,
        lowest: float = -np.inf,
        highest: float = np.inf,
    ) -> None:
        """Add a row: the sum of some variables less the sum of others lies between two figures."""
        row = len(self._lowest)
        for factor, columns in ((1, plus), (-1, minus)):
            for column in columns:
                self._rows.append(row)
                self._columns.append(column)
                self._factors.append(factor)
        self._lowest.append(lowest)
        self._highest.append(highest)

    def solve(self, *, seconds: float, nodes: int = MOST_NODES) -> Solved:
        """Return the best solution HiGHS finds: on one thread, from one seed, so always the same one.

        The search ends after so many branches, which is as repeatable; only one that the time cuts short may end
        elsewhere on another day.
        """
        if not self.costs:
            return Solved((), True)
        shape = (len(self._lowest), len(self.costs))
        matrix = scipy.sparse.csr_array((self._factors, (self._rows, self._columns)), shape=shape)
        found = scipy.optimize.milp(
            np.array(self.costs),
            integrality=np.array(self.whole),
            bounds=scipy.optimize.Bounds(0, np.array(self.most)),
            constraints=scipy.optimize.LinearConstraint(matrix, np.array(self._lowest), np.array(self._highest)),
            options={"time_limit": max(seconds, 0.01), "node_limit": nodes, "mip_rel_gap": 0},
        )
        if found.x is None:
            return Solved((), False)
        return Solved(tuple(found.x), found.status == 0)
