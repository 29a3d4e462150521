"""The floor: the same facts of a card drawn by hand with a drawing library, in the same typefaces.

It embeds what it needs of the typefaces. It makes no tags and measures no text: its letters stand as they come, and
lines end after so many of them. Having the library break lines by measure makes it five times as slow.
"""

import io
import textwrap
from collections.abc import Sequence
from functools import cache
from typing import Any

from fpdf import FPDF

from certs.cards.pdf import Laid
from training.printing.pdf.metrics import FONTS
from training.printing.rules import LEADING, PT

WIDTH, HEIGHT = 85.6, 53.98
FACES = {"": "OpenSans-Regular", "B": "OpenSans-Bold", "I": "OpenSans-Semibold"}
# The width of a letter in em, on average: lines are then as many as on the card.
LETTER = 0.52
INK, COPPER, WHITE = (22, 25, 29), (135, 56, 0), (255, 255, 255)


def drawn(cards: Sequence[Laid]) -> bytes:
    """Draw both sides of every card, every line placed by hand."""
    page = FPDF(unit="mm", format=(WIDTH, HEIGHT))
    page.set_auto_page_break(False)
    for style, name in FACES.items():
        page.add_font("Plate", style, _file(name))
    for card in cards:
        front(page, card)
        back(page, card)
    return bytes(page.output())


def front(page: FPDF, card: Laid) -> None:
    """Draw the frame, the name bar, the code, and every fact of the front."""
    frame(page)
    page.image(io.BytesIO(card.code), 51.4, 3.3, 29.6, 29.6)
    page.set_fill_color(*COPPER)
    page.rect(4.6, 3.3, 44.8, 11.5, style="F", round_corners=True, corner_radius=1.2)
    said(page, (6.2, 4.3, 41.6), card.texts["issuer"].words, "I", 6.5, WHITE)
    said(page, (6.2, 7.4, 41.6), card.texts["scheme"].words, "B", 8, WHITE)
    said(page, (4.6, 16, 44.8), card.holder, "B", 13, INK)
    said(page, (4.6, 26.3, 44.8), card.labels["number"], "I", 6, COPPER)
    said(page, (4.6, 28.9, 44.8), card.number, "B", 11, INK)
    page.set_draw_color(*COPPER)
    page.line(4.6, 34, 81, 34)
    for at, name in enumerate(("from", "to", "confirmed")):
        said(page, (4.6 + 23 * at, 35, 30), card.labels[name], "I", 6, COPPER)
        said(page, (4.6 + 23 * at, 37.6, 30), card.days[name], "B", 9, INK)
    said(page, (4.6, 41.2, 31), card.labels["scope"], "I", 6, COPPER)
    said(page, (50, 41.2, 31), card.texts["zone"].words, "I", 6, INK)
    said(page, (4.6, 43.8, 76.4), card.texts["scope"].words, "", 7, INK)


def back(page: FPDF, card: Laid) -> None:
    """Draw the frame and every paragraph of the back."""
    frame(page)
    y = said(page, (4.6, 3.3, 76.4), card.labels["limits"], "I", 6, COPPER)
    y = said(page, (4.6, y, 76.4), card.texts["limits"].words, "", 7, INK)
    for words, style in ((card.caution, "B"), (card.check, ""), *((term, "") for term in card.terms)):
        y = said(page, (4.6, y + 0.9, 76.4), words, style, 6.5, INK)


def frame(page: FPDF) -> None:
    """Begin a side."""
    page.add_page()
    page.set_draw_color(*COPPER)
    page.set_line_width(0.7)
    page.rect(1.4, 1.4, WIDTH - 2.8, HEIGHT - 2.8, round_corners=True, corner_radius=2.75)
    page.set_line_width(0.35)


def said(page: FPDF, place: tuple[float, float, float], words: str, *kind: Any) -> float:
    """Write words into a width, in a style, size and colour, and return how far down that reaches."""
    (x, y, across), (style, size, ink) = place, kind
    page.set_font("Plate", style, size)
    page.set_text_color(*ink)
    for line in textwrap.wrap(words, int(across / (size * PT * LETTER))):
        y += size * PT * LEADING
        page.text(x, y, line)
    return y


@cache
def _file(name: str) -> str:
    return str(FONTS / "ttf" / f"{name}.ttf")
