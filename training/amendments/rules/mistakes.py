"""Where a mistake of a module belongs on the pages of its amendment."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from training.amendments.rules.fields import DEMAND, FIGURE, LISTS, STEP
from training.content.mistakes import Mistake
from training.content.typed import sentence

_STEP = re.compile(r"step\[(?P<slug>[^\]]*)\](?:\.(?P<rest>.*))?\Z")
_FIGURE = re.compile(r"figure\[(?P<place>\d+)\](?:\.(?P<name>\w+))?\Z")
_PARTS = {name: name for name in ("title", "purpose", "changed", *LISTS)} | {"revision": "demand"}
_PARTS |= {f"revision.{name}": name for name in (*DEMAND, "questions")}
_PARTS |= {"step.ask": "ask"}  # a question asked at two steps


@dataclass(frozen=True, slots=True)
class Objection:
    """A mistake: the step it belongs to or none, the field there or none, and a sentence that says what to do."""

    step: str
    field: str
    sentence: str


def placed(mistake: Mistake) -> Objection:
    """Return a mistake of the reader of content as a sentence at the field it belongs to."""
    said = sentence(mistake.reason)
    if (step := _STEP.match(mistake.key)) is None:
        return Objection("", _PARTS.get(mistake.key, ""), said)
    rest = step["rest"] or ""
    if (figure := _FIGURE.match(rest)) is not None:
        name = figure["name"] if figure["name"] in FIGURE else FIGURE[0]
        return Objection(step["slug"], f"figure-{figure['place']}-{name}", said)
    return Objection(step["slug"], rest if rest in (*STEP, "tools", "ask") else "", said)


def by_step(objections: Iterable[Objection]) -> dict[str, tuple[Objection, ...]]:
    """Return the objections by the slug of their step; those to the module itself under no slug."""
    found: dict[str, tuple[Objection, ...]] = {}
    for one in objections:
        found[one.step] = (*found.get(one.step, ()), one)
    return found
