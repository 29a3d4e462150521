"""Named inputs with a unit and a range, and functions that check them."""

import inspect
from collections.abc import Callable
from dataclasses import dataclass
from functools import update_wrapper
from typing import Generic, ParamSpec, TypeVar

P = ParamSpec("P")
R_co = TypeVar("R_co", covariant=True)


class OutOfRange(ValueError):
    """An input lies outside the range in which the computation holds; the message says the range."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One named quantity: SI unit, plain words, and the closed range in which it makes sense."""

    name: str
    symbol: str
    unit: str
    says: str
    low: float | None = None
    high: float | None = None
    whole: bool = False

    def check(self, value: float) -> float:
        """Give the value back (as an int where the slot is whole) or raise OutOfRange."""
        if self.whole and not float(value).is_integer():
            raise OutOfRange(f"{self._subject()} must be a whole number; {value:g} was given.")
        low = self.low if self.low is not None else -float("inf")
        high = self.high if self.high is not None else float("inf")
        if not low <= value <= high:  # also catches a value that is not a number
            raise OutOfRange(f"{self._subject()} must be {self._range()}; {value:.6g} was given.")
        return int(value) if self.whole else float(value)

    def _subject(self) -> str:
        return f"The {self.says}"

    def _range(self) -> str:
        unit = "" if self.unit == "1" else f" {self.unit}"
        if self.high is None:
            return f"at least {self.low:.6g}{unit}" if self.low is not None else "a number"
        if self.low is None:
            return f"at most {self.high:.6g}{unit}"
        return f"from {self.low:.6g} to {self.high:.6g}{unit}"


class Checked(Generic[P, R_co]):
    """A function together with the slots of its parameters; a call checks every value first."""

    def __init__(self, function: Callable[P, R_co], inputs: tuple[Slot, ...]) -> None:
        self.signature = inspect.signature(function)
        names = tuple(self.signature.parameters)
        if names != tuple(slot.name for slot in inputs):
            raise TypeError(f"{function.__qualname__} takes {names}, its slots name others.")
        update_wrapper(self, function)
        self.function = function
        self.inputs = inputs

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> R_co:
        """Check every value against its slot, then compute. Raises OutOfRange."""
        bound = self.signature.bind(*args, **kwargs)
        for slot in self.inputs:
            bound.arguments[slot.name] = slot.check(bound.arguments[slot.name])
        return self.function(*bound.args, **bound.kwargs)


def checked(*inputs: Slot) -> Callable[[Callable[P, R_co]], Checked[P, R_co]]:
    """Decorate a function of numbers so that each call checks its inputs against these slots."""

    def decorate(function: Callable[P, R_co]) -> Checked[P, R_co]:
        return Checked(function, inputs)

    return decorate
