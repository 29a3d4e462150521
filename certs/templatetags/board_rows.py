"""The rows of the board, joined at one go: a template walked for each cell costs several times the page around it."""

from collections.abc import Iterator

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from certs.board.queries import Board, Cell, Row

register = template.Library()

ROW = '<tr><th scope="row"><a class="tap" href="{}">{}</a></th>{}<td data-label="{}">{}</td>{}</tr>\n'
EMPLOYER = '<td data-label="{}">{}</td>'
CELL = '<td data-label="{}"><div><span class="standing standing-{}">{}</span>{}</div></td>'
CARD = ' <span class="standing-says">{}</span>{}<div><a class="tap code" href="{}">{}</a></div>'
NOBODY, NONE = 0, "-"


@register.simple_tag
def board_rows(board: Board, *, across: bool) -> SafeString:
    """Return the rows of a page of the board, with the employer where people of several are shown."""
    person = reverse("records:person", args=[NOBODY]).removesuffix(f"{NOBODY}/")
    card = reverse("cards:card", args=[NONE]).removesuffix(f"{NONE}/")
    crew, employer = _("Crew"), _("Employer")

    def rows() -> Iterator[tuple[object, ...]]:
        for row in board.rows:
            of = format_html(EMPLOYER, employer, row.employer) if across else ""
            yield f"{person}{row.pk}/", row.name, of, crew, row.crews or "–", _cells(row, card)

    return format_html_join("", ROW, rows())


def _cells(row: Row, card: str) -> SafeString:
    return format_html_join("", CELL, ((one.scheme, one.shape, one.words, _card(one, card)) for one in row.cells))


def _card(cell: Cell, card: str) -> str:
    if not cell.number:
        return ""
    lines = (cell.note, *cell.owed) if cell.note else cell.owed
    more = format_html_join("", "<div>{}</div>", ((line,) for line in lines))
    return format_html(CARD, cell.says, more, f"{card}{cell.number}/", cell.number)
