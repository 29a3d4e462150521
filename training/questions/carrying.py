"""An error carried forward: a part worked rightly from the candidate's own wrong earlier answer."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from training.questions.book import Book
from training.questions.item import Part
from training.questions.numbers import settled
from training.questions.units import convert
from training.questions.values import Rejected, run


@dataclass(frozen=True, slots=True)
class Earlier:
    """A candidate's answer to an earlier part, in that part's unit; None when blank or of another dimension."""

    part: Part
    value: Fraction | None
    right: bool


def carried(part: Part, earlier: Mapping[str, Earlier], book: Book) -> Fraction | None:
    """Return the key this part has for the candidate's own earlier answers, in its unit.

    None when it may not be carried: no earlier answer was wrong, one is blank or outside its sane range, or nothing
    can be computed from it.
    """
    sources = {name: earlier.get(value["part"]) for name, value in part.inputs.items() if isinstance(value, Mapping)}
    if part.computation not in book.entries or not any(source and not source.right for source in sources.values()):
        return None
    taken: dict[str, float] = {}
    for slot in book.entries[part.computation].inputs:
        fixed = part.inputs.get(slot.name)
        if fixed is not None and not isinstance(fixed, Mapping):
            taken[slot.name] = fixed
            continue
        value = _own(sources.get(slot.name), slot.unit)
        if value is None or (slot.whole and value.denominator != 1):
            return None
        taken[slot.name] = int(value) if slot.whole else float(value)
    try:
        return settled(run(book, part.computation, taken, part.unit), part.round)
    except Rejected:
        return None


def _own(source: Earlier | None, wanted: str) -> Fraction | None:
    if source is None or source.value is None or source.part.sane is None:
        return None
    low, high = source.part.sane
    return convert(source.value, source.part.unit, wanted) if low <= source.value <= high else None
