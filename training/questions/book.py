"""The computations a question may name, as this room needs to see them."""

import inspect
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Protocol

from training.calc.catalogue import CATALOGUE


class SlotLike(Protocol):
    """An input or output of a computation: its name, unit and whether it must be a whole number."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def unit(self) -> str: ...  # noqa: D102
    @property
    def whole(self) -> bool: ...  # noqa: D102


class EntryLike(Protocol):
    """A computation: what goes in, what comes out, and of which one it is a mistake."""

    @property
    def title(self) -> str: ...  # noqa: D102
    @property
    def inputs(self) -> Sequence[SlotLike]: ...  # noqa: D102
    @property
    def output(self) -> SlotLike: ...  # noqa: D102
    @property
    def mistake_of(self) -> str | None: ...  # noqa: D102
    @property
    def says(self) -> str: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Book:
    """A list of computations and the way to run one; ``compute`` raises ValueError outside its range."""

    entries: Mapping[str, EntryLike]
    compute: Callable[[str, Mapping[str, float]], float]


@cache
def calculations() -> Book:
    """Return the computations of the trade."""
    return Book(CATALOGUE, _computed)


def _computed(key: str, values: Mapping[str, float]) -> float:
    """Compute as the catalogue does, but without comparing names: they were just taken from its slots."""
    checked = {slot.name: slot.check(values[slot.name]) for slot in CATALOGUE[key].inputs}
    return float(_bare(key)(**checked))


@cache
def _bare(key: str) -> Callable[..., float]:
    bare: Callable[..., float] = inspect.unwrap(CATALOGUE[key].function)
    return bare
