"""What the catalogue says about a computation."""

from collections.abc import Callable
from dataclasses import dataclass

from training.calc.ranges import Checked, Slot

READ = "read in a public copy"
MEMORY = "from memory, not read"
DERIVED = "derived from public measured data"
PRACTICE = "common practice, no source"
COMPUTED = "computed"
TAGS = (READ, MEMORY, DERIVED, PRACTICE, COMPUTED)


@dataclass(frozen=True, slots=True)
class Entry:
    """One computation: its inputs and output in SI, its source, and how sure that source is.

    A misconception is a computation too: mistake_of names the right one and says speaks to the
    person who made it.
    """

    key: str
    title: str
    function: Callable[..., float]
    inputs: tuple[Slot, ...]
    output: Slot
    source: str
    tag: str
    mistake_of: str | None = None
    says: str = ""


Number = Checked[..., float]
Mistake = tuple[str, Number, str]


def listed(  # noqa: PLR0917 - one row of a table, read across
    key: str, title: str, function: Number, output: Slot, source: str, tag: str, *mistakes: Mistake
) -> tuple[Entry, ...]:
    """Entries of one computation and of its mistakes (short name, function, what the person did)."""
    right = Entry(key, title, function, function.inputs, output, source, tag)
    wrong = (
        Entry(f"{key}.{name}", title, slip, slip.inputs, output, source, tag, key, says)
        for name, slip, says in mistakes
    )
    return (right, *wrong)
