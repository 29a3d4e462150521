"""One card made ready for the press: every text in a size that fits, the code drawn."""

import io
from dataclasses import dataclass

import zxingcpp
from django.utils import translation
from django.utils.translation import gettext as _
from PIL import Image

from certs.cards.pdf import words
from certs.cards.pdf.fit import CannotPrint, Text, back, front
from certs.cards.queries import CardFace, code_url
from certs.cards.rules import Standing

CODE_SIDE = 29.6
# Below this a phone's camera and a 300 dpi card printer (12 dots a millimetre) lose modules.
SMALLEST_MODULE = 0.31
PRINTABLE = {Standing.CURRENT, Standing.DUE, Standing.NOT_YET_VALID}


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A card ready to be printed: `texts` by the names of fit.BOXES, `small` the class of the type of the back.

    `code` is a PNG, `photo` a JPEG or empty; `beside` says how many of the fixed paragraphs stand beside it.
    """

    number: str
    holder: str
    issuer: str
    language: str
    texts: dict[str, Text]
    small: str
    labels: dict[str, str]
    days: dict[str, str]
    caution: str
    check: str
    terms: tuple[str, str]
    code: bytes
    photo: bytes
    beside: int


def lay(face: CardFace, *, mark: str = "", language: str = "", photo: bytes = b"") -> Laid:
    """Make a card ready in a language, or in that of its holder or else its scheme; `mark` is the ledger's.

    Raises CannotPrint, or queries.KeyUnavailable.
    """
    if face.standing not in PRINTABLE:
        raise CannotPrint(_("This card is not printed as it stands: %(reason)s") % {"reason": face.reason})
    wanted = language or face.language
    with translation.override(wanted if wanted in words.LANGUAGES else "en"):
        return _laid(face, translation.get_language() or "en", photo, mark)


def _laid(face: CardFace, language: str, photo: bytes, mark: str) -> Laid:
    labels, terms = words.labels(face, limits_behind=bool(face.limits)), words.terms(face, mark=mark)
    caution, check = words.caution(), words.how_to_check()
    texts = front(
        {
            "issuer": face.issuer,
            "scheme": _("%(title)s, issue %(number)d") % {"title": face.scheme, "number": face.issue},
            "holder": face.holder,
            "scope": face.scope,
            "zone": words.zone(face),
        }
    )
    limits, small, beside = back(face.limits, caution, (check, *terms), photo=bool(photo))
    return Laid(
        number=face.number,
        holder=face.holder,
        issuer=face.issuer,
        language=language,
        texts=texts | {"limits": limits},
        small=small,
        labels=labels,
        days=words.days(face),
        caution=caution,
        check=check,
        terms=terms,
        code=code(face),
        photo=photo,
        beside=beside,
    )


def code(face: CardFace) -> bytes:
    """Draw the code as PNG, one pixel a module, error level Q, four modules of quiet zone. Raises CannotPrint."""
    try:
        drawn = zxingcpp.create_barcode(code_url(face), zxingcpp.BarcodeFormat.QRCode, ec_level="Q")
    except ValueError:
        raise CannotPrint(_("The name is too long for the code of the card. Enter a shorter form of it.")) from None
    modules = memoryview(drawn.to_image(scale=1, add_quiet_zones=True))
    if CODE_SIDE / modules.shape[0] < SMALLEST_MODULE:
        raise CannotPrint(_("The name is too long for the code of the card. Enter a shorter form of it."))
    png = io.BytesIO()
    Image.frombytes("L", modules.shape, modules.tobytes()).save(png, "PNG")
    return png.getvalue()
