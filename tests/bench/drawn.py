"""The floor: the same facts of a card drawn by hand with a PDF library, untagged, no typeface embedded."""

import io
import textwrap
from collections.abc import Sequence

import pydyf
from PIL import Image

from certs.cards.pdf import Laid

PT = 72 / 25.4
WIDTH, HEIGHT = 85.6, 53.98
# Signs in 76 mm at 6.5 pt, so that lines are as many as on the card.
ACROSS = 62


def drawn(cards: Sequence[Laid]) -> bytes:
    """Draw both sides of every card; each line is placed by hand, none is measured."""
    document = pydyf.PDF()
    font = pydyf.Dictionary(
        {"Type": "/Font", "Subtype": "/Type1", "BaseFont": "/Helvetica", "Encoding": "/WinAnsiEncoding"}
    )
    document.add_object(font)
    for card in cards:
        texts = card.texts
        rows = [texts["issuer"].words, texts["scheme"].words, card.holder, card.labels["number"], card.number]
        rows += [f"{card.labels[name]} {card.days[name]}" for name in ("from", "to", "confirmed")]
        scope = textwrap.wrap(texts["scope"].words, ACROSS)
        side(document, font, [*rows, card.labels["scope"], texts["zone"].words, *scope], card.code)
        words = [card.labels["limits"], texts["limits"].words, card.caution, card.check, *card.terms]
        side(document, font, [line for text in words for line in textwrap.wrap(text, ACROSS)], b"")
    made = io.BytesIO()
    document.write(made, compress=True)
    return made.getvalue()


def side(document: pydyf.PDF, font: pydyf.Dictionary, rows: Sequence[str], code: bytes) -> None:
    """Add a page with a frame, lines of text and, on the front, the code."""
    stream = pydyf.Stream(compress=True)
    stream.rectangle(1.4 * PT, 1.4 * PT, (WIDTH - 2.8) * PT, (HEIGHT - 2.8) * PT)
    stream.stroke()
    stream.begin_text()
    stream.set_font_size("F1", 6.5)
    for at, row in enumerate(rows):
        stream.set_text_matrix(1, 0, 0, 1, 4.6 * PT, (HEIGHT - 5 - 2.8 * at) * PT)
        stream.show_text_string(row.encode("cp1252", "replace").decode("cp1252"))
    stream.end_text()
    resources = pydyf.Dictionary({"Font": pydyf.Dictionary({"F1": font.reference})})
    if code:
        picture = Image.open(io.BytesIO(code))
        facts = {"Type": "/XObject", "Subtype": "/Image", "Width": picture.width, "Height": picture.height}
        facts |= {"ColorSpace": "/DeviceGray", "BitsPerComponent": 1}
        image = pydyf.Stream([picture.tobytes()], extra=facts, compress=True)
        document.add_object(image)
        resources["XObject"] = pydyf.Dictionary({"Code": image.reference})
        stream.push_state()
        stream.set_matrix(29.6 * PT, 0, 0, 29.6 * PT, 51.4 * PT, 21 * PT)
        stream.draw_x_object("Code")
        stream.pop_state()
    document.add_object(stream)
    page = {"Type": "/Page", "Parent": document.pages.reference, "Contents": stream.reference, "Resources": resources}
    page["MediaBox"] = pydyf.Array([0, 0, round(WIDTH * PT, 3), round(HEIGHT * PT, 3)])
    document.add_page(pydyf.Dictionary(page))
