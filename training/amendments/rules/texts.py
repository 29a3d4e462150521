"""The text of a module while it is amended: steps found, put in, moved and taken out; and the whole put together."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from enum import StrEnum
from typing import Any

from training.content.typed import number
from training.procedures.rules import FAULT, is_fault

Text = Mapping[str, Any]

MOST_STEPS, LONGEST_SLUG = 80, 50


class Move(StrEnum):
    """Which way a step goes."""

    UP = "up"
    DOWN = "down"


def begun(body: Text) -> dict[str, Any]:
    """Return the text to amend. What the last revision asked of card holders was about that revision only."""
    return {**_without(body, "drawings", "changed"), "revision": None}


def assembled(text: Text, *, changed: str, drawings: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return the body of the revision that a text makes; a drawing that no step shows any more leaves the module."""
    shown = {step["drawing"] for step in text["steps"]}
    steps = [{**step, "figures": [_plain(figure) for figure in step["figures"]]} for step in text["steps"]]
    return {**text, "changed": changed, "steps": steps, "drawings": [one for one in drawings if one["name"] in shown]}


def _plain(figure: Mapping[str, str]) -> dict[str, str]:
    return {**figure, "value": number(figure["value"]), "value_to": number(figure["value_to"])}


def differs(older: Text, newer: Text) -> bool:
    """Say whether there is anything new in a body, apart from the words about it."""
    apart = ("changed", "revision", "drawings")
    return _without(older, *apart) != _without(newer, *apart)


def step_of(text: Text, slug: str) -> Mapping[str, Any] | None:
    """Return a step, or None where there is none of that slug."""
    return next((step for step in text["steps"] if step["slug"] == slug), None)


def with_step(text: Text, step: Mapping[str, Any]) -> dict[str, Any]:
    """Return the text with one step in place of the one of the same slug."""
    return {**text, "steps": [step if one["slug"] == step["slug"] else one for one in text["steps"]]}


def without_step(text: Text, slug: str) -> dict[str, Any]:
    """Return the text without a step."""
    return {**text, "steps": [one for one in text["steps"] if one["slug"] != slug]}


def moved(text: Text, slug: str, move: Move) -> dict[str, Any]:
    """Return the text with a step before or behind its neighbour; steps and faults are two lists on the page."""
    steps = list(text["steps"])
    places = [place for place, step in enumerate(steps) if is_fault(step["slug"]) == is_fault(slug)]
    here = next(order for order, place in enumerate(places) if steps[place]["slug"] == slug)
    there = here + (1 if move is Move.DOWN else -1)
    if 0 <= there < len(places):
        first, second = places[here], places[there]
        steps[first], steps[second] = steps[second], steps[first]
    return {**text, "steps": steps}


def added(text: Text, title: str, *, fault: bool, after: str) -> tuple[dict[str, Any], str]:
    """Return the text with an empty step behind another, or last, and the slug the new step keeps for good."""
    slug = _free((FAULT if fault else "") + _slug(title), set(_slugs(text)))
    step = {"slug": slug, "title": title, "tools": [], "figures": []}
    step |= dict.fromkeys(("text", "why", "caution", "hold", "drawing"), "")
    steps = list(text["steps"])
    place = _slugs(text).index(after) + 1 if after in _slugs(text) else len(steps)
    return {**text, "steps": [*steps[:place], step, *steps[place:]]}, slug


def _slug(title: str) -> str:
    letters = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", letters).strip("-")[:LONGEST_SLUG].strip("-") or "step"


def _free(slug: str, taken: set[str]) -> str:
    """Return the slug, numbered where it is taken."""
    number, free = 1, slug
    while free in taken:
        number += 1
        free = f"{slug}-{number}"
    return free


def _slugs(text: Text) -> list[str]:
    return [step["slug"] for step in text["steps"]]


def _without(table: Text, *names: str) -> dict[str, Any]:
    return {name: value for name, value in table.items() if name not in names}
