"""What is typed into a draft, the question it makes, where each mistake in it belongs, and what its draws must show.

Everything typed is kept as text under the names of the page's fields, so that nothing is lost while it is wrong: a name
such as `topic` belongs to the question, `answer-unit` to its answer, `in-current-unit` to the row of an input,
`value-1-unit` to a further value, `show-1-unit` to a value of the working. Plain values only.
"""

from training.drafts.rules.draws import (
    DRAWS,
    FEW_DIFFERENT,
    MOST_REJECTED_PERCENT,
    SHOWN,
    differs_little,
    loses_too_much,
    never_differs,
)
from training.drafts.rules.fields import (
    DRAWS_PAGE,
    LISTS,
    MOST_ROWS,
    How,
    Row,
    Typed,
    count,
    output_unit,
    pressed,
    rows_asked,
    slots,
    ticked,
    typed,
    word,
)
from training.drafts.rules.mistakes import Objection, placed, spelt_wrong, twice
from training.drafts.rules.tables import given_rows, question, show_rows, typed_from

__all__ = [
    "DRAWS",
    "DRAWS_PAGE",
    "FEW_DIFFERENT",
    "LISTS",
    "MOST_REJECTED_PERCENT",
    "MOST_ROWS",
    "SHOWN",
    "How",
    "Objection",
    "Row",
    "Typed",
    "count",
    "differs_little",
    "given_rows",
    "loses_too_much",
    "never_differs",
    "output_unit",
    "placed",
    "pressed",
    "question",
    "rows_asked",
    "show_rows",
    "slots",
    "spelt_wrong",
    "ticked",
    "twice",
    "typed",
    "typed_from",
    "word",
]
