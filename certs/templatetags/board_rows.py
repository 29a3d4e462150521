"""The rows of the board, joined at one go: a template walked for each cell costs several times the page around it."""

from collections.abc import Iterator
from functools import lru_cache

from crispy_forms.templatetags.crispy_forms_filters import as_crispy_form
from django import forms, template
from django.urls import reverse
from django.utils.html import escape, format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from certs.board.queries import Board, Cell

register = template.Library()

FIELD = '<div id="div_{}" class="mb-3"><label for="{}" class="form-label">{}</label>{}</div>\n'
ROW = '<tr><th scope="row"><a class="tap" href="{}{}/">{}</a></th>{}<td data-label="{}">{}</td>{}</tr>\n'
EMPLOYER = '<td data-label="{}">{}</td>'
NO_CARD = '<td data-label="{}"><div><span class="standing standing-{}">{}</span></div></td>'
CARD = (
    '<td data-label="{}"><div><span class="standing standing-{}">{}</span> <span class="standing-says">{}</span>{}'
    '<div><a class="tap code" href="{}{}/">{}</a></div></div></td>'
)
NOBODY, NONE = 0, "-"
# The same words, crews and days stand in most rows, and in most pages.
safe = lru_cache(maxsize=8192)(escape)


@register.simple_tag
def board_filters(form: forms.Form) -> SafeString:
    """Return the fields of a filter as crispy writes them; with mistakes to be told crispy writes them itself."""
    if form.errors:
        return as_crispy_form(form)  # type: ignore[no-any-return]
    return format_html_join(
        "", FIELD, ((field.auto_id, field.id_for_label, field.label, _widget(field)) for field in form)
    )


def _widget(field: forms.BoundField) -> SafeString:
    widget = field.field.widget
    kind = "form-select" if isinstance(widget, forms.Select) else "form-control"
    return field.as_widget(attrs={"class": f"{type(widget).__name__.lower()} {kind}"})


@register.simple_tag
def board_rows(board: Board, *, across: bool) -> SafeString:
    """Return the rows of a page of the board, with the employer where people of several are shown."""
    person = safe(reverse("records:person", args=[NOBODY]).removesuffix(f"{NOBODY}/"))
    card = safe(reverse("cards:card", args=[NONE]).removesuffix(f"{NONE}/"))
    place, employer = safe(_("Crew")), safe(_("Employer"))

    def rows() -> Iterator[tuple[object, ...]]:
        for row in board.rows:
            of = format_html(EMPLOYER, employer, safe(row.employer)) if across else ""
            crews = f"{row.crews} ({row.sites})" if row.sites else row.crews or "–"
            cells = format_html_join("", "{}", ((_cell(one, card),) for one in row.cells))
            yield person, row.pk, safe(row.name), of, place, safe(crews), cells

    return format_html_join("", ROW, rows())


def _cell(cell: Cell, card: SafeString) -> SafeString:
    said = safe(cell.scheme), safe(cell.shape), safe(cell.words)
    if not cell.number:
        return format_html(NO_CARD, *said)
    number = safe(cell.number)
    lines = (cell.note, *cell.owed) if cell.note else cell.owed
    more = format_html_join("", "<div>{}</div>", ((safe(line),) for line in lines))
    return format_html(CARD, *said, safe(cell.says), more, card, number, number)
