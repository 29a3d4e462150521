"""What a panel is asked, where it stands, and what its estimates come to.

An estimate is a whole number of just-competent persons out of a hundred who would get a question right. Sources:
Angoff (1971), with the two rounds and the feedback between them as in Cizek and Bunch (2007), chapter 6.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median
from typing import TypeVar

from training.questions.papers import Cell, Pooled
from training.questions.stream import Draw
from training.statistics.setting import FEWEST_JUDGES, Cut, angoff

FIRST, SECOND = 1, 2
FULL = 100
Judge = TypeVar("Judge", bound=Hashable)


class Stage(StrEnum):
    """Where a panel stands."""

    FIRST = "first round"
    SECOND = "second round"
    CLOSED = "closed"


class Extent(StrEnum):
    """How many questions the judges look at."""

    PAPER = "paper"
    TWICE = "twice"
    ALL = "all"


@dataclass(frozen=True, slots=True)
class Spread:
    """The estimates of one question, in persons out of a hundred: the lowest, the middle and the highest."""

    low: int
    middle: float
    high: int


@dataclass(frozen=True, slots=True)
class Result:
    """What a round comes to: the marks each judge expects, in rising order, and the cut, or None for too few judges."""

    totals: tuple[float, ...]
    cut: Cut | None

    @property
    def missing(self) -> int:
        """Return how many judges are wanting for a valid result."""
        return max(FEWEST_JUDGES - len(self.totals), 0)


def stage(*, first_closed: bool, second_closed: bool) -> Stage:
    """Return where a panel stands."""
    if second_closed:
        return Stage.CLOSED
    return Stage.SECOND if first_closed else Stage.FIRST


def waits(stage: Stage, *, first: bool, second: bool) -> bool:
    """Say whether a panel waits for a judge who has finished these rounds; without the first there is no second."""
    if stage is Stage.FIRST:
        return not first
    return stage is Stage.SECOND and first and not second


def empty_cells(cells: Sequence[Cell], pool: Sequence[Pooled]) -> tuple[Cell, ...]:
    """Return the cells of the blueprint for which the pool holds no question."""
    held = {(one.topic, one.level) for one in pool}
    return tuple(cell for cell in cells if (cell.topic, cell.level) not in held)


def sample(cells: Sequence[Cell], pool: Sequence[Pooled], *, extent: Extent, seed: str) -> tuple[str, ...]:
    """Return the keys a panel looks at, cell by cell: the anchors, then so many others drawn by the seed."""
    stream = Draw("panel", seed)
    keys: list[str] = []
    for cell in cells:
        held = [one for one in pool if (one.topic, one.level) == (cell.topic, cell.level)]
        anchors = [one.key for one in held if one.anchor]
        others = stream.shuffle(sorted(one.key for one in held if not one.anchor))
        wanted = {Extent.PAPER: cell.count, Extent.TWICE: 2 * cell.count, Extent.ALL: len(held)}[extent]
        keys += [*sorted(anchors), *sorted(others[: max(wanted - len(anchors), 0)])]
    return tuple(keys)


def places(cells: Sequence[Cell], asked: Sequence[Pooled], estimates: Mapping[str, int]) -> list[float]:
    """Return the share, 0 to 1, that one judge expects in each place of a paper.

    An anchor fills a place of its own. Every other place of a cell may hold any of its questions, so it gets their
    mean. `estimates` has an entry for each question asked; each cell has at least one question.
    """
    shares: list[float] = []
    for cell in cells:
        held = [one for one in asked if (one.topic, one.level) == (cell.topic, cell.level)]
        fixed = [estimates[one.key] / FULL for one in held if one.anchor][: cell.count]
        drawn = [estimates[one.key] / FULL for one in held if not one.anchor] or fixed
        shares += [*fixed, *[sum(drawn) / len(drawn)] * (cell.count - len(fixed))]
    return shares


def finished(estimates: Mapping[Judge, Mapping[str, int]], asked: Sequence[Pooled]) -> dict[Judge, Mapping[str, int]]:
    """Return the estimates of the judges who gave one for every question; a gap would be a judgement of nothing."""
    keys = {one.key for one in asked}
    return {judge: given for judge, given in estimates.items() if keys <= given.keys()}


def result(cells: Sequence[Cell], asked: Sequence[Pooled], judged: Sequence[Mapping[str, int]]) -> Result:
    """Return what the finished judges of a round come to."""
    table = [places(cells, asked, given) for given in judged]
    totals = tuple(sorted(round(sum(row), 9) for row in table))
    return Result(totals, angoff(table) if len(table) >= FEWEST_JUDGES else None)


@dataclass(frozen=True, slots=True)
class TopicMarks:
    """What the judges expect in one topic: their mean in marks, of so many."""

    topic: str
    marks: float
    of: int


def topics(
    cells: Sequence[Cell], asked: Sequence[Pooled], judged: Sequence[Mapping[str, int]]
) -> tuple[TopicMarks, ...]:
    """Return what the finished judges, at least one, expect in each topic of the paper, in its order."""
    names = list(dict.fromkeys(cell.topic for cell in cells))
    inside = {name: [cell for cell in cells if cell.topic == name] for name in names}
    return tuple(
        TopicMarks(
            topic=name,
            marks=sum(sum(places(mine, asked, given)) for given in judged) / len(judged),
            of=sum(cell.count for cell in mine),
        )
        for name, mine in inside.items()
    )


def spread(estimates: Sequence[int]) -> Spread:
    """Return how far the estimates of one question, at least one, lie apart."""
    return Spread(min(estimates), median(estimates), max(estimates))


def passing(whole: int, marks: int) -> str:
    """Return the share to write into a paper's file so that `whole` of `marks` passes, and no lower whole mark.

    Digits where the share ends within four decimals; else cut, not rounded up, after four, so that it asks for no
    more than `whole`. Up to 100 marks the mark below stays under it: a hundredth of a mark is more than is cut.
    """
    return f"{whole * 10_000 // marks / 10_000:.4f}".rstrip("0").rstrip(".")
