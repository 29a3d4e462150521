"""Printing cards: many in one document, against one document for each, and against drawing them by hand."""

import io
import tempfile
from collections.abc import Sequence
from contextlib import contextmanager
from datetime import date
from html import escape
from pathlib import Path
from typing import Any
from unittest import mock

import segno

from certs.cards.code import CardCode, seal
from certs.cards.pdf import Laid, Layout, lay, press
from certs.cards.pdf import face as laying
from certs.cards.queries import CardFace
from certs.cards.rules import Standing
from tests.bench.drawn import Drawn
from tests.bench.measure import Figure, side_by_side

STYLE = """
@page { size: 85.6mm 53.98mm; margin: 3mm 4.6mm }
body { margin: 0; font: 6.5pt/1.2 sans-serif; color: #16191d }
h1 { font-size: 9pt; margin: 0; background: #873800; color: #fff; padding: 1mm }
.top, .row { display: flex } .top > div { width: 44.8mm } svg { width: 29.6mm; height: 29.6mm }
.name { font-size: 11pt; font-weight: bold; margin: 0 } dl, dt, dd, p { margin: 0 }
dt { color: #873800; width: 25mm } dd { font-weight: bold } section + section { break-before: page }
"""


def faces(count: int) -> list[CardFace]:
    """Return cards of one scheme that differ in name, number and first day."""
    return [
        CardFace(
            number=f"FB-{at:04d}-K7M2",
            person_id=at,
            scheme_id=1,
            holder=f"{('Ada', 'Benedikt', 'Chidinma', 'Dorothea')[at % 4]} Number {at}",
            employer="Northmoor Track",
            issuer="Northern Board of Bonding Practice",
            scheme="Rail bonds by pin brazing",
            scheme_slug="rail-bonds",
            issue=2,
            language="en",
            scope="Fixing bonds to running rails with an 8 mm pin, by the procedure of the scheme.",
            limits="On spots that the railway's drawing shows. Not inside closed spaces, not when wet.",
            valid_from=date(2026, 1, 1 + at % 28),
            last_day=date(2028, 12, 31),
            zone="Europe/London",
            confirmed_to=date(2027, 6, 30),
            renew_from=date(2028, 6, 30),
            renewal_open=False,
            issued_on=date(2026, 1, 1),
            standing=Standing.CURRENT,
            day=date(2028, 12, 31),
            reason="",
            warning="",
            owed=(),
        )
        for at in range(count)
    ]


@contextmanager
def own_key() -> Any:
    """Sign with a key held in memory, for a bench has no database."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    key = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))

    def url(shown: CardFace) -> str:
        says = CardCode(
            name=shown.holder,
            number=shown.number,
            scheme=f"{shown.scheme_slug}/{shown.issue}",
            valid_from=shown.valid_from,
            last_day=shown.last_day,
            confirm_by=shown.confirmed_to,
            issued_on=shown.issued_on,
        )
        return f"https://cards.example.org/check#{seal(says, key)}"

    with mock.patch.object(laying, "code_url", url):
        yield url


def one_by_one(cards: Sequence[CardFace], url: Any) -> list[bytes]:
    """Print as is done at first: a document, its styles and its fonts anew for each card, the code as drawing."""
    import weasyprint
    from weasyprint.text.fonts import FontConfiguration

    made = []
    for shown in cards:
        drawn = io.BytesIO()
        segno.make(url(shown), error="q", boost_error=False, micro=False).save(drawn, kind="svg", xmldecl=False)
        laid = lay(shown)
        rows = "".join(
            f"<div class=row><dt>{escape(laid.labels[name])}</dt><dd>{escape(laid.days[name])}</dd></div>"
            for name in ("from", "to", "confirmed")
        )
        html = f"""<html lang=en><head><title>{escape(shown.number)}</title><style>{STYLE}</style></head><body>
<section><div class=top><div><p>{escape(shown.issuer)}</p><h1>{escape(laid.texts["scheme"].words)}</h1>
<p class=name>{escape(shown.holder)}</p><dl><dt>{laid.labels["number"]}</dt><dd>{shown.number}</dd></dl></div>
{drawn.getvalue().decode()}</div><dl>{rows}</dl>
<div class=row><dt>{laid.labels["scope"]}</dt><p>{laid.texts["zone"].words}</p></div><p>{escape(shown.scope)}</p></section>
<section><dt>{laid.labels["limits"]}</dt><p>{escape(shown.limits)}</p><p><b>{escape(laid.caution)}</b></p>
<p>{escape(laid.check)}</p>{"".join(f"<p>{escape(one)}</p>" for one in laid.terms)}
</section></body></html>"""
        fonts = FontConfiguration()
        made.append(weasyprint.HTML(string=html).write_pdf(font_config=fonts, pdf_variant="pdf/ua-1"))
    return made
