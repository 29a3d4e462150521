"""The two pictures: lines in a box of 100 by 100 that is stretched, so every word and number stays outside it."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from training.questions.rounding import exact, printed, written
from training.trials import rules
from training.trials.queries.typed import set_to, shown
from training.trials.rules import RATED, WORKING_MINIMUM, BurnPoint, ColdPoint, Model, Outcome, Setting

# Ends of an axis that part into steps a person counts in: end, number of steps.
ENDS = ((1, 5), (1.2, 4), (1.5, 5), (2, 4), (2.5, 5), (3, 3), (4, 4), (5, 5), (6, 3), (8, 4), (10, 5))
STEEP = 160.0  # A: the burn picture is as tall as the wire's time here, or the useful part would be flat


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight axis from low to high in equal steps."""

    low: float
    high: float
    steps: int

    def share(self, value: float) -> float:
        """Return how far along the axis a value lies, in hundredths."""
        return 100 * (value - self.low) / (self.high - self.low)

    def holds(self, value: float) -> bool:
        """Say whether a value lies on the axis."""
        return self.low <= value <= self.high

    def ticks(self) -> list[str]:
        """Return the numbers along the axis, from low to high."""
        step = (self.high - self.low) / self.steps
        decimals = next(count for count in range(9) if (exact(step) * 10**count).denominator == 1)
        numbers = (written(self.low + step * at, decimals) for at in range(self.steps + 1))
        return [printed(number, "") for number in numbers]


def up_from_zero(value: float) -> Scale:
    """Return an axis from nothing to a round end at or above a positive value."""
    power = 10.0 ** math.floor(math.log10(value))
    end, steps = next((end, steps) for end, steps in ENDS if end * power >= value)
    return Scale(0.0, end * power, steps)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line or a mark of a picture: its class in the style sheet, its path, and its words in the legend."""

    kind: str
    path: str
    says: str

    @property
    def is_mark(self) -> bool:
        """Whether this is a mark, not a line."""
        return self.kind.startswith("mark")


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture and the table of its figures; ticks of the upright axis run from the top down."""

    name: str
    title: str
    desc: str
    upright: str
    along: str
    upright_ticks: tuple[str, ...]
    along_ticks: tuple[str, ...]
    grid: str
    strokes: tuple[Stroke, ...]
    notes: tuple[str, ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Box:
    """Two axes, and where a point comes to lie between them."""

    x: Scale
    y: Scale

    def line(self, points: Iterable[tuple[float, float]]) -> str:
        """Return the path through these points."""
        places = (f"{self.x.share(x):.2f} {100 - self.y.share(y):.2f}" for x, y in points)
        return "M" + "L".join(places)

    def mark(self, x: float, y: float) -> str:
        """Return a path of no length: its ends are drawn round or square at any stretch."""
        return f"{self.line([(x, y)])}h0" if self.x.holds(x) and self.y.holds(y) else ""

    def level(self, y: float) -> str:
        """Return the path of a line all the way across."""
        return self.line([(self.x.low, y), (self.x.high, y)])

    def grid(self) -> str:
        """Return the path of the lines at every step of both axes."""
        upright = (f"M{100 * at / self.x.steps:.2f} 0v100" for at in range(self.x.steps + 1))
        across = (f"M0 {100 * at / self.y.steps:.2f}h100" for at in range(self.y.steps + 1))
        return "".join((*upright, *across))


def cold(setting: Setting, outcomes: Sequence[Outcome]) -> Picture:
    """Draw the current against the temperature of the cells."""
    points = tuple(rules.cold_curve(setting))
    tops = [current for point in points for current in (point.a, point.b)]
    box = Box(Scale(points[0].cell, points[-1].cell, 6), up_from_zero(max(*tops, WORKING_MINIMUM)))
    floor = _("working minimum, %(minimum)s, assumed") % {"minimum": shown(WORKING_MINIMUM, "A", 0)}
    notes = tuple(_kept(model, points) for model in Model)
    return Picture(
        name="cold",
        title=_("Current against the temperature of the cells"),
        desc=" ".join(notes),
        upright=_("Current, A"),
        along=_("Temperature of the cells, °C"),
        upright_ticks=tuple(reversed(box.y.ticks())),
        along_ticks=tuple(box.x.ticks()),
        grid=box.grid(),
        strokes=(
            Stroke("floor", box.level(WORKING_MINIMUM), floor),
            Stroke("a", box.line((point.cell, point.a) for point in points), _("model A, arc as a resistance")),
            Stroke("b", box.line((point.cell, point.b) for point in points), _("model B, arc as a voltage")),
            *_marks(box, outcomes, [(setting.cell_temperature, one.current) for one in outcomes]),
        ),
        notes=notes,
        heads=(_("Cells"), _("Model A"), _("Model B")),
        rows=tuple((shown(one.cell, "degC", 0), shown(one.a, "A", 1), shown(one.b, "A", 1)) for one in points),
    )


def _marks(box: Box, outcomes: Sequence[Outcome], places: Sequence[tuple[float, float]]) -> Iterable[Stroke]:
    for one, place in zip(outcomes, places, strict=True):
        if path := box.mark(*place):
            yield Stroke(f"mark-{one.model.lower()}", path, _("your values, model %(model)s") % {"model": one.model})


def _kept(model: Model, points: Sequence[ColdPoint]) -> str:
    """Say down to which temperature of the table a model keeps the working minimum."""
    found = [(point.cell, point.a if model is Model.A else point.b) for point in points]
    words = {"model": model, "minimum": shown(WORKING_MINIMUM, "A", 0)}
    words |= {"cold": shown(found[0][1], "A", 0), "warm": shown(found[-1][1], "A", 0)}
    run = _("Model %(model)s runs from %(warm)s with the cells at +35 °C down to %(cold)s at −25 °C.") % words
    kept = [cell for cell, current in found if current >= WORKING_MINIMUM]
    if not kept:
        return run + " " + _("It is below the working minimum of %(minimum)s everywhere.") % words
    if kept[0] == found[0][0]:
        return run + " " + _("It keeps the working minimum of %(minimum)s everywhere.") % words
    words["cell"] = shown(kept[0], "degC", 0)
    return run + " " + _("In the table it keeps the working minimum of %(minimum)s down to %(cell)s.") % words


def burn(setting: Setting, outcomes: Sequence[Outcome]) -> Picture:
    """Draw the time of the wire against the current."""
    points = tuple(rules.burn_curve(setting))
    steep = rules.burn_point(setting, STEEP).through
    box = Box(Scale(points[0].current, points[-1].current, 6), up_from_zero(max(steep, setting.burn_time)))
    wire = set_to("wire_area", setting.wire_area)
    begins = _("copper of %(wire)s begins to melt") % {"wire": wire}
    typed = _("burn time typed, %(time)s") % {"time": set_to("burn_time", setting.burn_time)}
    marks = [(one.current, one.shot.burn.begins if one.shot else math.inf) for one in outcomes]
    return Picture(
        name="burn",
        title=_("Time of the wire against the current"),
        desc=_("A copper wire of %(wire)s at %(air)s. %(slow)s %(fast)s")
        % {
            "wire": wire,
            "air": set_to("air_temperature", setting.air_temperature),
            "slow": _span(points[0]),
            "fast": _span(points[-1]),
        },
        upright=_("Time, s"),
        along=_("Current, A"),
        upright_ticks=tuple(reversed(box.y.ticks())),
        along_ticks=tuple(box.x.ticks()),
        grid=box.grid(),
        strokes=(
            Stroke("floor", box.level(setting.burn_time), typed),
            Stroke("a", box.line((one.current, one.begins) for one in points), begins),
            Stroke("b", box.line((one.current, one.through) for one in points), _("it has melted through")),
            *_marks(box, outcomes, marks),
        ),
        notes=tuple(_burnt(setting, one, box) for one in outcomes),
        heads=(_("Current"), _("Begins to melt"), _("Melted through")),
        rows=tuple(
            (shown(one.current, "A", 0), shown(one.begins, "s", 2), shown(one.through, "s", 2)) for one in points
        ),
    )


def _span(point: BurnPoint) -> str:
    return _("At %(current)s it begins to melt after %(begins)s and has melted through after %(through)s.") % {
        "current": shown(point.current, "A", 0),
        "begins": shown(point.begins, "s", 2),
        "through": shown(point.through, "s", 2),
    }


def _burnt(setting: Setting, one: Outcome, box: Box) -> str:
    words = {"model": one.model, "current": shown(one.current, "A", 0)}
    least = rules.never_melts(setting)
    if one.current <= least:
        words["least"] = shown(least, "A", 0)
        text = _(
            "Model %(model)s, %(current)s: this wire never burns through. "
            "Up to %(least)s it sheds heat as fast as it gets it (Preece)."
        )
        return text % words
    if one.shot is None:
        return _("Model %(model)s, %(current)s: beyond what these formulas hold for, so no time is given.") % words
    words |= {"begins": shown(one.shot.burn.begins, "s", 2), "through": shown(one.shot.burn.through, "s", 2)}
    words["rated"] = shown(RATED, "A", 0)
    words["times"] = written(rules.against_rated(one.current), 2)
    said = (
        _("Model %(model)s, %(current)s: %(begins)s to %(through)s, %(times)s times as long as at %(rated)s.") % words
    )
    drawn = box.mark(one.current, one.shot.burn.begins)
    return said if drawn else said + " " + _("That lies outside the picture.")
