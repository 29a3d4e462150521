"""The list of cards as a sheet of A4, for a depot without a signal."""

import io
from pathlib import Path

import segno
from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from certs.checking.models import StatusList
from training.printing.pdf import Sheet, render_pdf

SHEET = Sheet(Path(__file__).resolve().parents[1] / "static" / "certs" / "list.css")
# Beyond this version a phone's camera does not read a code of 160 mm at arm's length; common practice, no source.
LARGEST_VERSION = 30


class TooLong(ValueError):
    """The list does not fit a code; the message is a sentence."""


def sheet(listed: StatusList) -> bytes:
    """Return the sheet as a PDF of one page; the same list gives the same bytes. Raises TooLong."""
    address = f"{settings.SITE_URL}{reverse('checking:check').rstrip('/')}#cards={listed.message}"
    context = {
        "listed": listed,
        "made": date_format(listed.made_at, "DATETIME_FORMAT"),
        "good_until": date_format(listed.good_until, "DATETIME_FORMAT"),
        "site": settings.SITE_URL.partition("://")[2],
        "language": get_language(),
    }
    html = render_to_string("certs/checking/list_pdf.html", context)
    return render_pdf(html, {"asset:/code.png": ("image/png", _code(address))}, sheet=SHEET).content


def _code(address: str) -> bytes:
    """Draw the code as PNG, one pixel a module, error level M, four modules of quiet zone."""
    try:
        code = segno.make(address, error="m", boost_error=False, micro=False)
    except segno.DataOverflowError:
        code = None
    if code is None or int(code.version) > LARGEST_VERSION:
        raise TooLong(_("The list has grown too long for a code on paper. Phones fetch it with a signal."))
    png = io.BytesIO()
    code.save(png, kind="png", scale=1, border=4)
    return png.getvalue()
