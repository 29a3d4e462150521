"""Reading plans: `inputs` what one is made from, `page` how one is shown, `placed` whom accepted ones place where.

`words` says what is wrong or open, `home` where a person is placed next, `takers` who could take a place.
"""

from certs.crewing.queries.home import OnHome, on_home
from certs.crewing.queries.inputs import RULES, Inputs, inputs, inputs_of, turn_of, turns_of
from certs.crewing.queries.page import Seat, Shown, index, key_of, shown, titles
from certs.crewing.queries.placed import placed
from certs.crewing.queries.takers import takers
from certs.crewing.queries.words import fault_words, first_of_runs, open_words

__all__ = [
    "RULES",
    "Inputs",
    "OnHome",
    "Seat",
    "Shown",
    "fault_words",
    "first_of_runs",
    "index",
    "inputs",
    "inputs_of",
    "key_of",
    "on_home",
    "open_words",
    "placed",
    "shown",
    "takers",
    "titles",
    "turn_of",
    "turns_of",
]
