"""A module: what is done at trackside, step by step, read from ``procedure.toml``."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any

from training.content.demands import DemandSpec, demanded
from training.content.drawings import DrawingSpec, unmatched
from training.content.mistakes import ContentErrors, Mistake
from training.content.spec import Spec
from training.content.table import SLUG, Table
from training.questions.units import UnknownUnit, unit

# What the table of revisions holds.
LONGEST_TITLE = 120
MOST_ASKED = 3


class Bound(StrEnum):
    """How a figure limits what it speaks of."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    ABOUT = "about"
    BETWEEN = "between"


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureSpec(Spec):
    """A number of the trade with its source: ``value`` (to ``value_to``) in ``unit``, digits as written."""

    says: str
    value: str
    unit: str
    bound: Bound
    value_to: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSpec(Spec):
    """One step of a module. ``hold`` must be true before going on; ``drawing`` names one of the module's drawings.

    ``ask`` are keys of questions answered in place at the hold point.
    """

    slug: str
    title: str
    text: str
    why: str
    caution: str
    hold: str
    tools: tuple[str, ...]
    drawing: str
    figures: tuple[FigureSpec, ...]
    ask: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return every field; ``ask`` only where there is something, so that older texts keep their fingerprint."""
        # Without its class named, super() is lost in a dataclass with slots, which is made anew.
        table = Spec.as_json(self)
        if not self.ask:
            del table["ask"]
        return table


@dataclass(frozen=True, slots=True, kw_only=True)
class ModuleSpec(Spec):
    """A module in reading order ``order``; ``stops`` are the conditions that stop the job."""

    language: str
    slug: str
    title: str
    order: int
    purpose: str
    changed: str
    tools: tuple[str, ...]
    stops: tuple[str, ...]
    field_limit: tuple[str, ...]
    sources: tuple[str, ...]
    steps: tuple[StepSpec, ...]
    drawings: tuple[DrawingSpec, ...] = ()
    revision: DemandSpec | None = None


def read_module(data: Mapping[str, Any], *, drawings: tuple[DrawingSpec, ...] | None = ()) -> ModuleSpec:
    """Read a module as written on the site, in the shape of its file; raises ContentErrors with every mistake."""
    mistakes: list[Mistake] = []
    table = Table(data, file="procedure.toml", path="", mistakes=mistakes)
    spec = module(table, folder=str(data.get("slug", "")), drawings=drawings)
    if spec is None:
        raise ContentErrors(mistakes)
    return spec


def module(table: Table, *, folder: str, drawings: tuple[DrawingSpec, ...] | None = ()) -> ModuleSpec | None:
    """Read a module; None when it has mistakes, which the table then holds. Its slug is its folder's name.

    ``drawings`` are those of its folder; None says that they could not be read, so a step may name any.
    """
    spec = ModuleSpec(
        language=table.text("language", shape=SLUG),
        slug=table.text("slug", shape=SLUG),
        title=table.text("title"),
        order=table.whole("order"),
        purpose=table.text("purpose"),
        changed=table.text("changed"),
        tools=table.texts("tools", required=True),
        stops=table.texts("stops", required=True),
        field_limit=table.texts("field_limit"),
        sources=table.texts("sources", required=True),
        steps=tuple(_step(inner) for inner in table.tables("step")),
        drawings=drawings or (),
        revision=demanded(table),
    )
    table.done()
    if len(spec.title) > LONGEST_TITLE:
        table.refuse("title", f"may hold at most {LONGEST_TITLE} letters")
    if spec.slug != folder:
        table.refuse("slug", f"must be {folder!r}, the name of its folder")
    if not spec.steps:
        table.refuse("step", "is missing; a module needs at least one [[step]]")
    table.once("step", [step.slug for step in spec.steps])
    table.once("step.ask", [key for step in spec.steps for key in step.ask])
    if drawings is not None:
        for name, reason in unmatched({step.slug: step.drawing for step in spec.steps}, drawings):
            table.refuse(name, reason)
    return spec if table.sound else None


def _step(table: Table) -> StepSpec:
    spec = StepSpec(
        slug=table.text("slug", shape=SLUG),
        title=table.text("title"),
        text=table.text("text"),
        why=table.text("why"),
        caution=table.text("caution", ""),
        hold=table.text("hold", ""),
        tools=table.texts("tools"),
        drawing=table.text("drawing", "", shape=SLUG),
        figures=tuple(_figure(inner) for inner in table.tables("figure")),
        ask=table.texts("ask", required="ask" in table.data),
    )
    table.done()
    if len(spec.ask) > MOST_ASKED:
        table.refuse("ask", f"may hold at most {MOST_ASKED} keys of questions")
    if spec.ask and not spec.hold.strip():
        table.refuse("ask", "belongs to a step with a hold point; write 'hold', or leave the questions out")
    return spec


def _figure(table: Table) -> FigureSpec:
    bound = table.choice("bound", Bound)
    spec = FigureSpec(
        says=table.text("says"),
        value=table.text("value"),
        unit=table.text("unit"),
        bound=bound,
        value_to=table.text("value_to", None if bound is Bound.BETWEEN else ""),
        source=table.text("source"),
    )
    table.done()
    _check_numbers(table, spec)
    try:
        unit(spec.unit)
    except UnknownUnit:
        if spec.unit:
            table.refuse("unit", f"{spec.unit!r} is not a unit known here; write it like V, mohm/m or 1")
    return spec


def _check_numbers(table: Table, spec: FigureSpec) -> None:
    ends: list[Decimal] = [table.decimal(name) for name in ("value", "value_to") if table.data.get(name)]
    if spec.bound is not Bound.BETWEEN and spec.value_to:
        table.refuse("value_to", "belongs to the bound 'between' only")
    elif len(ends) == 2 and ends[0] >= ends[1]:
        table.refuse("value_to", "must be above 'value'")
