"""Printed cards: `words` and `fit` make the text, `face` one card, `sheets` lays many on paper."""

from collections.abc import Sequence
from pathlib import Path

from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from certs.cards.pdf.face import PRINTABLE, Laid, lay
from certs.cards.pdf.fit import CannotPrint
from certs.cards.pdf.sheets import Layout, sheets
from certs.cards.pdf.words import LANGUAGES
from certs.cards.queries import CardFace, ledger_marks
from certs.portraits.queries import printed
from training.printing.pdf import Printed, Sheet, render_pdf

__all__ = ["LANGUAGES", "PRINTABLE", "CannotPrint", "Laid", "Layout", "lay", "press", "render"]

STATIC = Path(__file__).resolve().parents[2] / "static" / "certs"
CARD = Sheet(STATIC / "card.css", pictures=tuple(STATIC / name for name in ("cut-8.svg", "cut-10.svg")))


def render(face: CardFace) -> bytes:
    """Return a card as a PDF of two ID-1 pages, with the holder's photo if there is one; same record, same bytes.

    Raises CannotPrint, or queries.KeyUnavailable.
    """
    photo = printed([face.person_id]).get(face.person_id, b"")
    laid = lay(face, mark=ledger_marks([face.card_id]).get(face.card_id, ""), photo=photo)
    title = _("Card %(number)s, %(holder)s") % {"number": laid.number, "holder": laid.holder}
    return press([laid], Layout.CARDS, title=title).content


def press(cards: Sequence[Laid], layout: Layout, *, title: str, first: int = 1) -> Printed:
    """Print cards: as pages of their own size, or on A4. Sheets of paper are numbered from `first` on."""
    papers = list(sheets(cards, layout))
    context = {
        "title": title,
        "language": cards[0].language,
        "issuer": cards[0].issuer,
        "layout": layout.value,
        "papers": [
            {
                "front": [(one, f"asset:/{one.number}.png") for one in front],
                "back": [(one, f"asset:/{one.number}.jpg") if one else None for one in back],
                "notes": None if layout is Layout.CARDS else _notes(at),
            }
            for at, (front, back) in enumerate(papers, first)
        ],
    }
    assets = {f"asset:/{one.number}.png": ("image/png", one.code) for one in cards}
    assets |= {f"asset:/{one.number}.jpg": ("image/jpeg", one.photo) for one in cards if one.photo}
    return render_pdf(render_to_string("certs/cards/pdf.html", context), assets, sheet=CARD)


def _notes(at: int) -> dict[str, str]:
    place = {"at": at}
    return {
        "front": _("Front of sheet %(at)d") % place,
        "back": _("Back of sheet %(at)d") % place,
        "how": _("Print on both sides, flip on the long edge, at 100 %, not fitted to the page."),
        "rule": _("This line is 50 mm long when the size is right."),
    }
