"""The printed card: an ID-1 page, front and back."""

import io
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import segno
from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from certs.cards.queries import CardFace, code_url
from certs.cards.rules import Standing
from training.printing.pdf import FONTS, WEIGHTS, Assets, Sheet, render_pdf

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

STATIC = Path(__file__).resolve().parents[1] / "static" / "certs"
CARD = Sheet(STATIC / "card.css", pictures=(STATIC / "plate.svg",))
SIDES = 2
PT = 25.4 / 72
LINE = 1.2
CODE_SIDE = 29.6
# Below this a phone's camera and a 300 dpi card printer (12 dots a millimetre) lose modules.
SMALLEST_MODULE = 0.31
PRINTABLE = {Standing.CURRENT, Standing.DUE, Standing.NOT_YET_VALID}
# Boxes of card.css that hold text of any length: weight, width and height in mm, sizes in pt to try in turn.
BOXES: Mapping[str, tuple[int, float, float, tuple[float, ...]]] = {
    "issuer": (600, 41.6, 5.1, (7.5, 7, 6.5, 6)),
    "scheme": (700, 41.6, 6.8, (10, 9, 8, 7)),
    # The height left for the name when issuer and scheme fill theirs; `_sizes` adds what they do not use.
    "holder": (700, 44.8, 8.3, (15, 13, 11, 10, 9, 8, 7)),
    "scope": (400, 76.4, 8.3, (7.5, 7, 6.5, 6)),
    "limits": (400, 76.4, 12.0, (7.5, 7, 6.5, 6)),
}


class CannotPrint(ValueError):
    """This card cannot be printed; the message is a sentence that says why."""


def render(face: CardFace) -> bytes:
    """Return the card as a PDF of two ID-1 pages; the same record gives the same bytes.

    Raises CannotPrint, or queries.KeyUnavailable.
    """
    if face.standing not in PRINTABLE:
        raise CannotPrint(_("This card is not printed as it stands: %(reason)s") % {"reason": face.reason})
    scheme = _("%(title)s, issue %(number)d") % {"title": face.scheme, "number": face.issue}
    texts = {
        "issuer": face.issuer,
        "scheme": scheme,
        "holder": face.holder,
        "scope": face.scope,
        "limits": face.limits,
    }
    context = {
        "face": face,
        "texts": texts,
        "sizes": _sizes(texts),
        "site": settings.SITE_URL.partition("://")[2],
        "language": get_language(),
    }
    html = render_to_string("certs/cards/pdf.html", context)
    return _sides(html, {"asset:/code.png": ("image/png", _code(face))})


def _sides(html: str, assets: Assets) -> bytes:
    """Print both sides; raises CannotPrint when the text runs over."""
    made = render_pdf(html, assets, sheet=CARD)
    if made.pages != SIDES:
        raise CannotPrint(_("The texts of this scheme are too long for a card. Shorten them in its next issue."))
    return made.content


def _code(face: CardFace) -> bytes:
    """Draw the code as PNG, one pixel a module, error level Q, four modules of quiet zone."""
    try:
        code = segno.make(code_url(face), error="q", boost_error=False, micro=False)
    except ValueError as mistake:
        raise CannotPrint(str(mistake)) from None
    if CODE_SIDE / code.symbol_size(border=4)[0] < SMALLEST_MODULE:
        raise CannotPrint(_("The name is too long for the code of the card. Enter a shorter form of it."))
    png = io.BytesIO()
    code.save(png, kind="png", scale=1, border=4)
    return png.getvalue()


def _sizes(texts: Mapping[str, str]) -> dict[str, str]:
    """Return the class of type for each text; raises CannotPrint when one does not fit."""
    sizes: dict[str, str] = {}
    spare = 0.0
    for name, text in texts.items():
        size, used = _size(name, text, spare if name == "holder" else 0)
        sizes[name] = f"pt-{size * 10:.0f}"
        spare += BOXES[name][2] - used
    return sizes


def _size(box: str, text: str, spare: float = 0) -> tuple[float, float]:
    """Return the largest type (pt) in which a text fits its box, `spare` mm higher, and the height used (mm)."""
    weight, width, height, ladder = BOXES[box]
    letters = {character for character in text if not character.isspace()}
    strange = sorted(letter for letter in letters if ord(letter) not in _cmap(weight))
    if strange:
        sentence = _("The typeface of the card has no %(letters)s. Enter the %(box)s in other letters.")
        raise CannotPrint(sentence % {"letters": " ".join(strange), "box": _names()[box]})
    for size in ladder:
        lines = _lines(text, weight, width / (size * PT))
        used = (lines or 0) * size * LINE * PT
        if lines is not None and used <= height + spare:
            return size, used
    raise CannotPrint(_("The %(box)s is too long for a card. Enter a shorter one.") % {"box": _names()[box]})


def _names() -> Mapping[str, str]:
    return {
        "issuer": _("name of the issuer"),
        "scheme": _("title of the scheme"),
        "holder": _("name of the holder"),
        "scope": _("scope"),
        "limits": _("text of the limits"),
    }


def _lines(text: str, weight: int, ems: float) -> int | None:
    """Count the lines a text takes in a width given in em; None when a part that cannot be broken is wider."""
    space, lines, used = _width(" ", weight), 1, 0.0
    for word in text.split():
        gap = space
        # A line may break after a hyphen between letters (Unicode Standard Annex 14, classes HY and AL).
        for part in re.split(r"(?<=\w-)(?=[^\W\d])", word):
            wide = _width(part, weight)
            if wide > ems:
                return None
            fits = used == 0 or used + gap + wide <= ems
            lines, used = (lines, used + (gap if used else 0) + wide) if fits else (lines + 1, wide)
            gap = 0.0
    return lines


def _width(text: str, weight: int) -> float:
    """Return the width of a text in em; kerning only ever makes it less in these fonts' ordinary text."""
    cmap, advance = _cmap(weight), _font(weight)["hmtx"]
    return sum(float(advance[cmap[ord(character)]][0]) for character in text) / float(_font(weight)["head"].unitsPerEm)


def _cmap(weight: int) -> Mapping[int, str]:
    found: Mapping[int, str] = _font(weight).getBestCmap()
    return found


@cache
def _font(weight: int) -> "TTFont":
    from fontTools.ttLib import TTFont  # noqa: PLC0415

    return TTFont(FONTS / WEIGHTS[weight], lazy=False)
