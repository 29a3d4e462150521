"""Every computation that a question can ask for, and every wrong answer it can expect, by key."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from training.calc.entries import TAGS, Entry
from training.calc.listed import electric, joints, people
from training.calc.ranges import OutOfRange, Slot

__all__ = ["CATALOGUE", "TAGS", "Entry", "OutOfRange", "Slot", "UnknownComputation", "WrongInputs", "compute"]


class UnknownComputation(LookupError):
    """No computation has this key."""


class WrongInputs(ValueError):
    """The names of the values are not those of the computation's inputs."""


def by_key(entries: Iterable[Entry]) -> Mapping[str, Entry]:
    """Entries by key; a key that stands twice raises ValueError."""
    table: dict[str, Entry] = {}
    for entry in entries:
        if entry.key in table:
            raise ValueError(f"The key {entry.key} stands twice in the catalogue.")
        table[entry.key] = entry
    return MappingProxyType(table)


CATALOGUE: Mapping[str, Entry] = by_key((*electric.ENTRIES, *joints.ENTRIES, *people.ENTRIES))


def compute(key: str, values: Mapping[str, float]) -> float:
    """Compute an entry from SI values by input name.

    Raises UnknownComputation, WrongInputs or OutOfRange, each with a sentence.
    """
    if key not in CATALOGUE:
        raise UnknownComputation(f"There is no computation named {key}.")
    entry = CATALOGUE[key]
    wanted, given = {slot.name for slot in entry.inputs}, set(values)
    if wanted != given:
        missing = ", ".join(sorted(wanted - given)) or "nothing"
        surplus = ", ".join(sorted(given - wanted)) or "nothing"
        raise WrongInputs(f"{key} lacks {missing} and has no use for {surplus}.")
    return float(entry.function(**values))
