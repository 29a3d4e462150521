"""A procedure on paper: an A5 booklet of one revision."""

from pathlib import Path

from django.template.loader import render_to_string
from django.utils import translation

from training.printing.pdf import Sheet, render_pdf
from training.procedures import queries, rules
from training.procedures.models import Revision

SHEET = Sheet(Path(__file__).resolve().parents[1] / "static" / "training" / "print.css")


def render(revision: Revision) -> bytes:
    """Return a revision as a tagged PDF in its own language, so that everyone holds the same paper.

    The same revision gives the same bytes, until a newer one comes: then every page says that it is superseded.
    """
    with translation.override(revision.language):
        page = queries.text(revision)
        html = render_to_string("training/procedures/print.html", {"page": page, "made": revision.loaded_at})
    drawings = rules.drawings(revision.body).values()
    held = {f"asset:/drawings/{one['name']}.svg": ("image/svg+xml", one["svg"].encode()) for one in drawings}
    return render_pdf(html, held, sheet=SHEET).content
