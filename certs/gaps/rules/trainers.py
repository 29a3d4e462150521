"""Which trainers can come on a day. Plain values only."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import combinations

from certs.gaps.rules.ways import Way

# Schemes whose every combination is looked at; of more only each by itself, and all together.
EACH = 6


@dataclass(frozen=True, slots=True)
class Trainers:
    """Who may assess under a scheme, by slug, and fewer of them by hand and scheme; who cannot come on a day.

    A trainer who comes, comes for one scheme that day.
    """

    assess: Mapping[str, frozenset[str]]
    fewer: Mapping[tuple[str, str], frozenset[str]] = field(default_factory=dict)
    engaged: Mapping[date, frozenset[str]] = field(default_factory=dict)

    def of(self, way: Way, on: date) -> frozenset[str]:
        """Return who can come that day and see this person."""
        free = self._free(way.scheme, on)
        return free & self.fewer.get((way.hand, way.scheme), free)

    def limits(self, schemes: Iterable[str], on: date) -> Iterator[tuple[tuple[str, ...], int]]:
        """Yield how many can come for some of these schemes together, for each some of them.

        Where nowhere more are wanted, each who is wanted can be somebody else (P. Hall, 1935, from memory).
        """
        every = sorted(set(schemes))
        sizes = range(1, len(every) + 1) if len(every) <= EACH else (1, len(every))
        for some in (some for size in sizes for some in combinations(every, size)):
            yield some, len(frozenset[str]().union(*(self._free(scheme, on) for scheme in some)))

    def suffice(self, comings: Mapping[str, int], on: date) -> bool:
        """Say whether so many trainers can come that day for each of these schemes."""
        return all(sum(comings[one] for one in some) <= many for some, many in self.limits(comings, on))

    def _free(self, scheme: str, on: date) -> frozenset[str]:
        return self.assess.get(scheme, frozenset()) - self.engaged.get(on, frozenset())
