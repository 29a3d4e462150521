"""Reading jobs: `check` whether one can be crewed, `kit` what its days take, `lists` what there is.

`people` and `placed` are what a plan of any kind begins with.
"""

from certs.jobs.queries.check import Check, Filled, Gap, Sent, Span, check
from certs.jobs.queries.gaps import Lack
from certs.jobs.queries.kit import Figure, cautions, figures
from certs.jobs.queries.lists import Row, Spell, away, index
from certs.jobs.queries.people import asked, called, hands
from certs.jobs.queries.placed import placed, sent_while_away

__all__ = [
    "Check",
    "Figure",
    "Filled",
    "Gap",
    "Lack",
    "Row",
    "Sent",
    "Span",
    "Spell",
    "asked",
    "away",
    "called",
    "cautions",
    "check",
    "figures",
    "hands",
    "index",
    "placed",
    "sent_while_away",
]
