"""Printing cards: many in one document, against one document for each, and against drawing them by hand.

What is compared with is written here: `one_by_one` prints as a first version would, `drawn` is a floor that does
neither tags nor letters of other scripts nor the measuring of text.
"""

import io
from collections.abc import Callable, Sequence
from contextlib import contextmanager
from datetime import date
from functools import partial
from html import escape
from typing import Any
from unittest import mock

import django
import segno
import weasyprint
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from weasyprint.text.fonts import FontConfiguration

from certs.batches.rules import STEP
from certs.cards.code import seal
from certs.cards.models import CardKey
from certs.cards.pdf import Layout, lay, press
from certs.cards.pdf import face as laying
from certs.cards.queries import CardFace
from certs.cards.queries.keys import says
from certs.cards.rules import Standing
from tests.bench.drawn import drawn
from tests.bench.measure import Figure, at_the_peak, side_by_side
from training.printing.pdf import joined

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
            card_id=at,
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
            asked_on=date(2026, 11, 25),
            held_since=date(2026, 1, 1),
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
    key = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
    row = CardKey(signs_from=date.min)

    def url(shown: CardFace) -> str:
        return f"https://cards.example.org/check#{seal(says(shown, row), key)}"

    with mock.patch.object(laying, "code_url", url):
        yield url


def one_by_one(cards: Sequence[CardFace], url: Any) -> list[bytes]:
    """Print as one does at first: a document, its styles and its fonts anew for each card, the code as drawing."""
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
<div class=row><dt>{laid.labels["scope"]}</dt><p>{laid.texts["zone"].words}</p></div><p>{escape(shown.scope)}</p>
</section>
<section><dt>{laid.labels["limits"]}</dt><p>{escape(shown.limits)}</p><p><b>{escape(laid.caution)}</b></p>
<p>{escape(laid.check)}</p>{"".join(f"<p>{escape(one)}</p>" for one in laid.terms)}
</section></body></html>"""
        fonts = FontConfiguration()
        made.append(weasyprint.HTML(string=html).write_pdf(font_config=fonts, pdf_variant="pdf/ua-1"))
    return made


def in_steps(cards: Sequence[CardFace], layout: Layout) -> list[bytes]:
    """Print as a batch does, up to the parts."""
    starts = range(0, len(cards), STEP)
    return [press([lay(one) for one in cards[at : at + STEP]], layout, title="x").content for at in starts]


def printing(*, count: int = 500, naive: int = 12, rounds: int = 3) -> tuple[Figure, ...]:
    """Compare the cost of a card in a batch of `count` with that of `naive` documents of one card each.

    The goals are those of cards one by one and of sheets; `joining` is what putting the parts together adds to them.
    """
    django.setup()
    cards = faces(count)
    share = count / naive
    with own_key() as url:
        reference = partial(one_by_one, cards[:naive], url)

        def against(name: str, measured: Callable[[], object], goal: float) -> Figure:
            made = side_by_side(name, measured, reference, goal=goal * share, rounds=rounds)
            return Figure(name, round(made.ratio / share, 3), goal, round(made.value / count, 2), "ms a card")

        parts = in_steps(cards, Layout.CARDS)
        laid = [lay(one) for one in cards[:STEP]]
        return (
            against("cards in steps", partial(in_steps, cards, Layout.CARDS), 0.31),
            against("sheets of ten in steps", partial(in_steps, cards, Layout.TEN), 0.26),
            against("joining the parts", partial(joined, parts), 0.10),
            side_by_side(
                "cards against drawing by hand",
                partial(press, laid, Layout.CARDS, title="x"),
                partial(drawn, laid),
                goal=80,
                rounds=rounds,
            ),
            at_the_peak(
                "memory of the steps against that of one step",
                partial(in_steps, cards[: 3 * STEP], Layout.CARDS),
                partial(in_steps, cards[:STEP], Layout.CARDS),
                goal=1.5,
            ),
        )
