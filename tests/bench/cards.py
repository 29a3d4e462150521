"""Printing cards: a batch in steps, against one document for each, and against drawing them by hand.

What is compared with is written here: `one_by_one` prints as a first version would, `drawn` is a floor that does
neither tags nor letters of other scripts nor the measuring of text.
"""

import io
import resource
import statistics
import time
from collections.abc import Callable, Sequence
from contextlib import contextmanager
from datetime import date
from functools import partial
from html import escape
from pathlib import Path
from typing import Any, TypeVar
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
from tests.bench.measure import Figure, within
from training.printing.pdf import joined

T = TypeVar("T")
NAIVE, ONE_PDF, SHEETS, MS = "a document a card", "one PDF", "sheets of ten", "ms a card"
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


class Timed:
    """The cost of a card in each way, in ms of CPU, round by round."""

    def __init__(self) -> None:
        self.rounds: dict[str, list[float]] = {}

    def take(self, name: str, way: Callable[[], T], count: int) -> T:
        """Time one way once."""
        start = time.process_time()
        made = way()
        self.rounds.setdefault(name, []).append((time.process_time() - start) * 1000 / count)
        return made

    def against(self, name: str, reference: str, *, goal: float, more: float = 0) -> Figure:
        """Return the median of the rounds' ratios; `more` ms are added to each."""
        pairs = zip(self.rounds[name], self.rounds[reference], strict=True)
        own = statistics.median(self.rounds[name]) + more
        return Figure(
            name, round(statistics.median((ours + more) / theirs for ours, theirs in pairs), 3), goal, round(own, 2), MS
        )


def printing(*, count: int = 500, naive: int = 2) -> tuple[Figure, ...]:
    """Print a batch in steps, each time beside one document a card, and beside the drawing library at its ends.

    The ways of a batch include putting its parts together. A card has two sides and all the facts of a scheme; the
    goals of bytes were set with a card of one side and half of the text.
    """
    django.setup()
    cards = faces(count)
    with own_key() as url:
        timed, parts = _in_turn(cards, naive, url)
        wholes = {name: timed.take(f"joining {name}", partial(joined, made), count) for name, made in parts.items()}
        for name, made in [*parts.items()] * 2:
            timed.take(f"joining {name}", partial(joined, made), count)
        more = {name: statistics.median(timed.rounds[f"joining {name}"]) for name in parts}
        by_hand = statistics.median(timed.rounds["by hand"])
        own = statistics.median(timed.rounds[ONE_PDF]) + more[ONE_PDF]
        return (
            timed.against("a file a card", NAIVE, goal=0.33),
            timed.against(ONE_PDF, NAIVE, goal=0.31, more=more[ONE_PDF]),
            within("one PDF, bytes a card", len(wholes[ONE_PDF].content) / count, 2_500, "bytes"),
            timed.against(SHEETS, NAIVE, goal=0.26, more=more[SHEETS]),
            within("sheets of ten, bytes a card", len(wholes[SHEETS].content) / count, 1_900, "bytes"),
            Figure("one PDF against a drawing library", round(own / by_hand, 2), 12, round(by_hand, 2), MS),
            within("memory that printing leaves behind", growth(cards), 12, "MiB"),
        )


def _in_turn(cards: Sequence[CardFace], naive: int, url: Any) -> tuple[Timed, dict[str, list[bytes]]]:
    """Print step by step in every way, one after the other."""
    timed, parts = Timed(), {ONE_PDF: [], SHEETS: []}
    laid = [lay(one) for one in cards]
    one_by_one(cards[:1], url), drawn(laid[:1]), _step(cards[:1], Layout.CARDS), _step(cards[:1], Layout.TEN)
    starts = range(0, len(cards), STEP)
    for at in starts:
        step = cards[at : at + STEP]
        if at in {starts[0], starts[len(starts) // 2], starts[-1]}:
            timed.take("by hand", partial(drawn, laid), len(cards))
        timed.take(NAIVE, partial(one_by_one, step[:naive], url), len(step[:naive]))
        timed.take("a file a card", partial(_files, step[:naive]), len(step[:naive]))
        parts[ONE_PDF].append(timed.take(ONE_PDF, partial(_step, step, Layout.CARDS), len(step)))
        parts[SHEETS].append(timed.take(SHEETS, partial(_step, step, Layout.TEN), len(step)))
    return timed, parts


def _files(cards: Sequence[CardFace]) -> list[bytes]:
    return [_step([one], Layout.CARDS) for one in cards]


def _step(cards: Sequence[CardFace], layout: Layout) -> bytes:
    return press([lay(one) for one in cards], layout, title="x").content


def growth(cards: Sequence[CardFace]) -> float:
    """Print a warm batch step by step and return by how many MiB the process has grown."""
    before = resident()
    for at in range(0, len(cards), STEP):
        _step(cards[at : at + STEP], Layout.CARDS)
    return resident() - before


def resident() -> float:
    """Return the memory of this process in MiB (proc(5), statm: the second number, in pages)."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * resource.getpagesize() / 2**20
