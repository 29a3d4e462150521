"""The sheet on paper: blank for a day without a phone, or filled as it was sent."""

from pathlib import Path

from django.template.loader import render_to_string
from django.utils.translation import get_language

from certs.signoffs.models import LOOK_WORDS, TOOL_WORDS
from certs.signoffs.queries import Filled, SheetPage
from training.printing.pdf import Sheet, render_pdf

PAPER = Sheet(Path(__file__).resolve().parents[1] / "static" / "certs" / "paper.css")


def blank(page: SheetPage) -> bytes:
    """Return the empty sheet of a candidate as a tagged PDF, A4."""
    context = {
        "page": page,
        "bonds": range(1, page.wanted.bonds + 1),
        "looks": list(LOOK_WORDS.values()),
        "tools": list(TOOL_WORDS.values()),
        "language": get_language(),
    }
    return _print("certs/signoffs/paper_blank.html", context)


def filled(page: Filled) -> bytes:
    """Return a filled sheet as a tagged PDF, A4; the same sheet in the same state gives the same bytes."""
    return _print("certs/signoffs/paper_filled.html", {"page": page, "language": get_language()})


def _print(template: str, context: dict[str, object]) -> bytes:
    return render_pdf(render_to_string(template, context), {}, sheet=PAPER).content
