"""Pictures laid out in units of their view boxes. Every word stays outside the drawing, beside it or in its table."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from training.analysis.queries.words import between, percent
from training.statistics.intervals import Limits
from training.statistics.items import Band, OptionRow

# A plot above a base line, bars with a gap between them.
PLOT_HEIGHT, BAR_GAP = 28.0, 1.0
CURVE_WIDTH, CURVE_HEIGHT, CURVE_EDGE = 60.0, 40.0, 4.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One band of the score picture: its words, count, and rectangle."""

    words: str
    count: int
    passing: bool
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Curve:
    """One option by bands of score: its text, figures in words, its share by band, and the points of its line."""

    option: str
    right: bool
    count: int
    share: str
    together: str
    shares: tuple[tuple[str, str], ...]
    points: tuple[tuple[float, float], ...]

    @property
    def path(self) -> str:
        """Return the line through the points."""
        return "M" + "L".join(f"{x} {y}" for x, y in self.points)

    @property
    def says(self) -> str:
        """Return the shares in one line."""
        return "; ".join(f"{band}: {share}" for band, share in self.shares)

    @property
    def ends(self) -> tuple[str, str]:
        """Return the shares of the lowest band and of the highest."""
        return self.shares[0][1], self.shares[-1][1]


def bars(counts: Sequence[int], passing: float) -> tuple[Bar, ...]:
    """Lay the counts out as bars side by side, the tallest as high as the plot."""
    step, tallest = 100 / len(counts), max(counts)
    laid = []
    for number, count in enumerate(counts):
        low = number / len(counts)
        height = round(PLOT_HEIGHT * count / tallest, 2)
        values = {"low": round(low * 100), "high": round((number + 1) / len(counts) * 100)}
        last = number == len(counts) - 1
        words = _("%(low)d to %(high)d\u00a0%%") if last else _("%(low)d to under %(high)d\u00a0%%")
        x, width = round(number * step + BAR_GAP / 2, 2), round(step - BAR_GAP, 2)
        top = round(PLOT_HEIGHT - height, 2)
        laid.append(Bar(words % values, count, low >= passing, x, top, width, height))
    return tuple(laid)


def band_words(bands: Sequence[Band]) -> tuple[str, ...]:
    """Return the bands by the share of the marks earned on the rest of the paper."""
    return tuple(between(Limits(band.low, band.high)) for band in bands)


def curve(row: OptionRow, shares: Sequence[float], together: str, bands: Sequence[str]) -> Curve:
    """Lay out the line of one option, from the lowest band to the highest."""
    step = (CURVE_WIDTH - 2 * CURVE_EDGE) / max(len(shares) - 1, 1)
    plot = CURVE_HEIGHT - 2 * CURVE_EDGE
    points = tuple(
        (round(CURVE_EDGE + place * step, 2), round(CURVE_HEIGHT - CURVE_EDGE - share * plot, 2))
        for place, share in enumerate(shares)
    )
    named = tuple(zip(bands, map(percent, shares), strict=True))
    return Curve(row.option, row.right, row.count, percent(row.share), together, named, points)
