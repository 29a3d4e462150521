"""Small modules for the tests of this room, in the shape the files give."""

from dataclasses import replace

from training.content.demands import Demand, DemandSpec, Overdue
from training.content.procedures import Bound, FigureSpec, ModuleSpec, StepSpec

FIGURE = FigureSpec(
    says="Lead to earth",
    value="120",
    unit="uohm",
    bound=Bound.AT_MOST,
    value_to="",
    source="common practice, no source",
)


def step(slug: str = "earth", title: str = "Fit the earth", **said: object) -> StepSpec:
    """Make a step that has every part."""
    facts = {
        "text": "Grind a bright spot and set the earth on it.",
        "why": "All of the current goes through the earth.",
        "caution": "Never a chain.",
        "hold": "It does not rock.",
        "tools": ("Grinder",),
        "drawing": "",
        "figures": (FIGURE,),
    }
    return StepSpec(slug=slug, title=title, **(facts | said))  # type: ignore[arg-type]


def module(slug: str = "setup", **said: object) -> ModuleSpec:
    """Make a module of two steps and a fault."""
    facts = {
        "language": "en",
        "title": "Setting up",
        "order": 1,
        "purpose": "How to set up.",
        "changed": "First issue.",
        "tools": ("Meter",),
        "stops": ("No permission",),
        "field_limit": ("In the field: the inner contact",),
        "sources": ("common practice, no source",),
        "steps": (step("pin", "Load the pin"), step(), step("fault-dead", "Nothing happens")),
    }
    return ModuleSpec(slug=slug, **(facts | said))  # type: ignore[arg-type]


def revised(**said: object) -> ModuleSpec:
    """Make the next revision: one step altered, one new, one gone, and another stop."""
    facts = {
        "changed": "The earth is now checked twice.",
        "stops": ("No permission", "Wet gloves"),
        "steps": (
            step(hold="It does not rock, looked at twice."),
            step("tug", "Tug the plugs"),
            step("fault-dead", "Nothing happens"),
        ),
    }
    return replace(module(), **(facts | said))  # type: ignore[arg-type]


def asks(demand: str = "read", overdue: str = "due", *, within_days: int = 60) -> DemandSpec:
    """Make what a revision asks of card holders; answers are to two questions of the small pool."""
    questions = ("drop-1", "one-1") if demand == "answer" else ()
    return DemandSpec(demand=Demand(demand), within_days=within_days, overdue=Overdue(overdue), questions=questions)
