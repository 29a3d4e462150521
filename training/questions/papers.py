"""A paper put together from its blueprint: so many questions a cell, little-used ones first, enemies kept apart.

A hard limit on use can make the search endless on a pool that looks ample, so use only weighs the draw, and the
search stops after so many steps and says which cells came out short.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from training.questions.stream import Draw

TRIES = 10
STEPS = 2_000
_WHOLE = 10**12


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell of the blueprint: ``count`` questions of one topic and level."""

    topic: str
    level: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pooled:
    """A question that may be drawn. ``uses`` counts earlier papers; an anchor is on every paper that has its cell.

    ``enemies`` names questions, or shared marks ``set:x``, that may not be on the same paper.
    """

    key: str
    topic: str
    level: str
    enemies: tuple[str, ...] = ()
    uses: int = 0
    anchor: bool = False


@dataclass(frozen=True, slots=True)
class Shortage:
    """A cell that could not be filled, and how many questions it wants (or places, when it has more anchors)."""

    topic: str
    level: str
    wanting: int
    of: str = "questions"


class Infeasible(ValueError):
    """No paper could be put together; ``shortages`` names each cell and how many questions are wanting."""

    def __init__(self, shortages: Iterable[Shortage]) -> None:
        """Keep the shortages and say them in a sentence."""
        self.shortages = tuple(shortages)
        cells = "; ".join(
            f"{short.topic} {short.level} wants {short.wanting} more {short.of}" for short in self.shortages
        )
        super().__init__(f"No paper can be put together: {cells}. Add what is wanting, or take enemies apart.")


def assemble(
    cells: Sequence[Cell], pool: Collection[Pooled], *, seed: str | int, avoid: Collection[str] = ()
) -> tuple[str, ...]:
    """Return the keys of a paper in printed order: topics as in the blueprint, shuffled inside each.

    ``avoid`` are keys of earlier papers of this person, drawn again only if anchors. Raises Infeasible.
    """
    usable = [entry for entry in pool if entry.anchor or entry.key not in avoid]
    held = [[entry for entry in usable if (entry.topic, entry.level) == (cell.topic, cell.level)] for cell in cells]
    if any(len(entries) < cell.count for cell, entries in zip(cells, held, strict=True)):
        raise Infeasible(
            _short(cells, [min(len(entries), cell.count) for cell, entries in zip(cells, held, strict=True)])
        )
    _check_anchors(cells, held)
    stream = Draw("paper", seed)
    banned = _banned(usable)
    best: list[Pooled] = []
    for _ in range(TRIES):
        filled = [(cell, _weighed(entries, stream)) for cell, entries in zip(cells, held, strict=True)]
        search = _Search(stream.shuffle(filled), banned)
        if search.run():
            return _in_order(cells, search.chosen, stream)
        best = max(best, search.best, key=len)
        if search.steps:
            break  # every way was tried, so another order of trying changes nothing
    have = Counter((entry.topic, entry.level) for entry in best)
    raise Infeasible(_short(cells, [have[cell.topic, cell.level] for cell in cells]))


def _short(cells: Sequence[Cell], filled: Sequence[int]) -> list[Shortage]:
    pairs = zip(cells, filled, strict=True)
    return [Shortage(cell.topic, cell.level, cell.count - have) for cell, have in pairs if have < cell.count]


def _check_anchors(cells: Sequence[Cell], held: Sequence[Sequence[Pooled]]) -> None:
    anchors = [sum(entry.anchor for entry in entries) for entries in held]
    pairs = zip(cells, anchors, strict=True)
    crowded = [
        Shortage(cell.topic, cell.level, have - cell.count, "places") for cell, have in pairs if have > cell.count
    ]
    if crowded:
        raise Infeasible(crowded)


def _weighed(entries: Sequence[Pooled], stream: Draw) -> list[Pooled]:
    """Return anchors first, then the others drawn without replacement with weights 1/(1 + uses)^4."""
    left = [entry for entry in entries if not entry.anchor]
    order = [entry for entry in entries if entry.anchor]
    while left:
        weights = [max(_WHOLE // (1 + entry.uses) ** 4, 1) for entry in left]
        point, place = stream.below(sum(weights)), 0
        while point >= weights[place]:
            point -= weights[place]
            place += 1
        order.append(left.pop(place))
    return order


def _in_order(cells: Sequence[Cell], chosen: Sequence[Pooled], stream: Draw) -> tuple[str, ...]:
    topics = dict.fromkeys(cell.topic for cell in cells)
    mixed = stream.shuffle(chosen)
    return tuple(entry.key for topic in topics for entry in mixed if entry.topic == topic)


def _banned(pool: Sequence[Pooled]) -> dict[str, frozenset[str]]:
    """Return for each key the keys that may not stand beside it: named by either side, or sharing a ``set:`` mark."""
    sets: dict[str, set[str]] = {}
    for entry in pool:
        for mark in entry.enemies:
            sets.setdefault(mark, set()).add(entry.key)
    banned: dict[str, frozenset[str]] = {}
    for entry in pool:
        named = {mark for mark in entry.enemies if not mark.startswith("set:")}
        shared = [sets[mark] for mark in entry.enemies if mark.startswith("set:")]
        banned[entry.key] = frozenset(named.union(sets.get(entry.key, ()), *shared) - {entry.key})
    return banned


class _Search:
    """One try at filling every cell, taking back what leads nowhere, within so many steps."""

    def __init__(self, cells: Sequence[tuple[Cell, Sequence[Pooled]]], banned: Mapping[str, frozenset[str]]) -> None:
        self.cells = cells
        self.banned = banned
        self.steps = STEPS
        self.chosen: list[Pooled] = []
        self.keys: set[str] = set()
        self.best: list[Pooled] = []

    def run(self) -> bool:
        """Fill the cells; ``steps`` left over after a failure mean that no way exists."""
        return self._fill(0, 0, 0)

    def _fill(self, number: int, start: int, have: int) -> bool:
        if number == len(self.cells):
            return True
        cell, entries = self.cells[number]
        if have == cell.count:
            return self._fill(number + 1, 0, 0)
        for place in range(start, len(entries) - (cell.count - have) + 1):
            entry = entries[place]
            if self.steps and self.keys.isdisjoint(self.banned[entry.key]):
                self._put(entry)
                if self._fill(number, place + 1, have + 1):
                    return True
                self.keys.remove(self.chosen.pop().key)
            if entry.anchor or not self.steps:
                return False  # an anchor may not be passed over
        return False

    def _put(self, entry: Pooled) -> None:
        self.steps -= 1
        self.chosen.append(entry)
        self.keys.add(entry.key)
        if len(self.chosen) > len(self.best):
            self.best = list(self.chosen)
