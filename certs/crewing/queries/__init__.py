"""Reading plans: `inputs` what one is made from, `page` how one is shown, `placed` whom accepted ones place where.

`words` says what is wrong or open.
"""

from certs.crewing.queries.inputs import RULES, Inputs, inputs, inputs_of, turn_of, turns_of
from certs.crewing.queries.page import Seat, Shown, index, key_of, shown, titles
from certs.crewing.queries.placed import placed
from certs.crewing.queries.words import fault_words, shortage_words

__all__ = [
    "RULES",
    "Inputs",
    "Seat",
    "Shown",
    "fault_words",
    "index",
    "inputs",
    "inputs_of",
    "key_of",
    "placed",
    "shortage_words",
    "shown",
    "titles",
    "turn_of",
    "turns_of",
]
