"""Reading the board: `asked` whom it is about, `tally` how many, `page` a page of it, `sheets` a day for print."""

from certs.board.queries.asked import Asked, everyone, whom
from certs.board.queries.cells import Cell, Say
from certs.board.queries.kept import recall, remember
from certs.board.queries.page import NOWHERE, Board, Row, crews_of_all, grid, listed, scheme_rows, schemes
from certs.board.queries.words import WORDS, value_of

__all__ = [
    "NOWHERE",
    "WORDS",
    "Asked",
    "Board",
    "Cell",
    "Row",
    "Say",
    "crews_of_all",
    "everyone",
    "grid",
    "listed",
    "recall",
    "remember",
    "scheme_rows",
    "schemes",
    "value_of",
    "whom",
]
