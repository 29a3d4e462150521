"""Right and wrong answers to the questions of a turn."""

from collections.abc import Mapping
from typing import Any

from training.bridges.models import Bridge

WRONG = {"number": "0.01", "one": "", "several": [], "order": []}


def right(bridge: Bridge, *, but: str = "") -> dict[int, Mapping[str, Any]]:
    """Answer every question of the turn rightly, except the one of that key."""
    return {
        place: {
            part["name"]: _answer(part, key) if asked["shown"]["key"] != but else WRONG[part["answer"]]
            for part, key in zip(asked["shown"]["parts"], asked["sealed"]["parts"], strict=True)
        }
        for place, asked in enumerate(bridge.asked, start=1)
    }


def _answer(part: Mapping[str, Any], key: Mapping[str, Any]) -> object:
    if part["answer"] == "number":
        return f"{key['shown']} {part['unit']}"
    return key["right"][0] if part["answer"] == "one" else key["order"] or key["right"]


def sent(answers: Mapping[int, Mapping[str, Any]], turn: int) -> dict[str, Any]:
    """Return answers under the names the browser sends."""
    fields = {f"q{place}-{name}": value for place, parts in answers.items() for name, value in parts.items()}
    return {"turn": str(turn)} | fields
