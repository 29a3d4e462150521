"""The text of an amendment, what is typed into its pages, where a mistake belongs, and where it stands.

A text is a module in the shape of `ModuleSpec.as_json`, without its drawings and without what changed. Whatever is
typed is kept in that shape, right or wrong, so that nothing is lost. Plain values only.
"""

from training.amendments.rules.fields import (
    FIGURE,
    LISTS,
    MOST_FIGURES,
    lines,
    parts_fields,
    parts_typed,
    step_fields,
    step_typed,
    word,
)
from training.amendments.rules.mistakes import Objection, by_step, placed
from training.amendments.rules.states import State, state
from training.amendments.rules.texts import (
    MOST_STEPS,
    Move,
    Text,
    added,
    assembled,
    begun,
    differs,
    moved,
    step_of,
    with_step,
    without_step,
)

__all__ = [
    "FIGURE",
    "LISTS",
    "MOST_FIGURES",
    "MOST_STEPS",
    "Move",
    "Objection",
    "State",
    "Text",
    "added",
    "assembled",
    "begun",
    "by_step",
    "differs",
    "lines",
    "moved",
    "parts_fields",
    "parts_typed",
    "placed",
    "state",
    "step_fields",
    "step_of",
    "step_typed",
    "with_step",
    "without_step",
    "word",
]
