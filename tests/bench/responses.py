"""A million responses in blocks, against a plain pass over the table and against the memory of the whole table."""

from functools import partial

import numpy as np

from tests.bench.measure import Figure, at_the_peak, side_by_side
from training.statistics import items, reliability
from training.statistics.stream import Responses

SITTINGS, QUESTIONS, BLOCK = 25_000, 40, 2_500
TIME_GOAL, MEMORY_GOAL = 4.0, 0.10


def in_blocks(sittings: int = SITTINGS) -> tuple[Figure, ...]:
    """Measure facility, item-rest, alpha, formula 21 and the distribution of marks of so many sittings.

    The time is set against one mean of the same table, the memory against the same figures from the whole table.
    """
    packed = simulated(sittings)
    table = packed.astype(np.float64)

    def of_all() -> object:
        unpacked = packed.astype(np.float64)
        return items.facility(unpacked), items.item_rest(unpacked), reliability.alpha(unpacked)

    return (
        side_by_side("statistics", partial(streamed, table), lambda: table.mean(axis=0), goal=TIME_GOAL, rounds=25),
        at_the_peak("statistics memory", partial(streamed, packed), of_all, goal=MEMORY_GOAL),
    )


def simulated(sittings: int) -> np.ndarray:
    """Return right or wrong, shape (sittings, QUESTIONS), a byte each: abler people get more right."""
    stream = np.random.default_rng(1)
    ability, difficulty = stream.normal(size=(sittings, 1)), np.linspace(-2.5, 1, QUESTIONS)
    return (stream.random((sittings, QUESTIONS)) < 1 / (1 + np.exp(difficulty - ability))).astype(np.uint8)


def streamed(table: np.ndarray) -> object:
    """Return the figures of a table met block by block."""
    met = Responses(QUESTIONS)
    for start in range(0, len(table), BLOCK):
        met.add(table[start : start + BLOCK])
    return met.facility(), met.item_rest(), met.alpha(), met.kr21(), met.distribution()
