"""What a new revision asks of holders of a card that names its module: ``[revision]`` in ``procedure.toml``."""

from dataclasses import dataclass
from enum import StrEnum

from training.content.spec import Spec
from training.content.table import Table

LONGEST_DAYS = 366
_ASKING = ("within_days", "overdue", "questions")


class Demand(StrEnum):
    """What holders of a card do about a new revision."""

    STANDS = "stands"  # nothing: their cards stand as they are
    READ = "read"  # read it again
    ANSWER = "answer"  # read it again, and answer questions about what changed


class Overdue(StrEnum):
    """What becomes of the card of someone who has not done it in time."""

    DUE = "due"  # work goes on, the card says why it is due
    STOPS = "stops"  # no work until it is done


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandSpec(Spec):
    """A demand: within so many days of the loading; ``questions`` are keys of the bank. Where cards stand, no days."""

    demand: Demand
    within_days: int | None
    overdue: Overdue
    questions: tuple[str, ...]


def demanded(table: Table) -> DemandSpec | None:
    """Read the ``[revision]`` table of a module, or None where it has none; mistakes go to the table."""
    if "revision" not in table.data:
        table.known.add("revision")
        return None
    inner = table.table("revision")
    demand = inner.choice("demand", Demand)
    if not inner.sound:
        # What else belongs there depends on the demand.
        return None
    if demand is Demand.STANDS:
        return _stands(inner)
    spec = DemandSpec(
        demand=demand,
        within_days=inner.whole("within_days", high=LONGEST_DAYS),
        overdue=inner.choice("overdue", Overdue),
        questions=inner.texts("questions", required=demand is Demand.ANSWER),
    )
    inner.done()
    if demand is Demand.READ and spec.questions:
        inner.refuse("questions", "belong to the demand 'answer' only")
    inner.once("questions", spec.questions)
    return spec


def _stands(table: Table) -> DemandSpec:
    for name in (name for name in _ASKING if name in table.data):
        table.known.add(name)
        table.refuse(name, "has no meaning where cards stand; leave it out")
    table.done()
    return DemandSpec(demand=Demand.STANDS, within_days=None, overdue=Overdue.DUE, questions=())
