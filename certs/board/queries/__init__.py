"""Reading the board: `asked` whom it is about, `tally` how many, `page` a page of it, `sheets` a day for print."""

from certs.board.queries.asked import Asked, everyone, shown, whom
from certs.board.queries.cells import Cell, Say
from certs.board.queries.kept import recall, remember
from certs.board.queries.page import Board, Row, Someone, grid, listed, scheme_names, schemes, with_crews
from certs.board.queries.words import WORDS, value_of

__all__ = [
    "WORDS",
    "Asked",
    "Board",
    "Cell",
    "Row",
    "Say",
    "Someone",
    "everyone",
    "grid",
    "listed",
    "recall",
    "remember",
    "scheme_names",
    "schemes",
    "shown",
    "value_of",
    "whom",
    "with_crews",
]
