"""Where a reader stands with a procedure, and what differs between two of its revisions."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

# A step that describes a fault is looked up, not worked through, so it leaves the numbered list.
FAULT = "fault-"


class Standing(StrEnum):
    """Where a person stands with the revision in force."""

    READ = "read"
    UNREAD = "to read"
    CHANGED = "changed since you read it"


def standing(*, latest: int, last_read: int | None) -> Standing:
    """Compare the number of the revision in force with the newest one this person has read."""
    if last_read is None:
        return Standing.UNREAD
    return Standing.READ if last_read >= latest else Standing.CHANGED


@dataclass(frozen=True, slots=True)
class Change:
    """A step that came, went or reads differently; `slug` is its anchor."""

    slug: str
    title: str


@dataclass(frozen=True, slots=True)
class Changes:
    """What differs between an older and a newer body of one module."""

    added: tuple[Change, ...]
    altered: tuple[Change, ...]
    removed: tuple[Change, ...]
    parts: tuple[str, ...]


# The parts of a module beside its steps, by their key in the content file.
PARTS = ("title", "purpose", "tools", "stops", "field_limit", "sources")


def changes(older: Mapping[str, Any], newer: Mapping[str, Any]) -> Changes:
    """Compare two bodies as loaded; steps are matched by slug, so a renamed step counts as one gone, one come."""
    before, after = _steps(older), _steps(newer)
    return Changes(
        added=_named(after, [slug for slug in after if slug not in before]),
        altered=_named(after, [slug for slug in after if slug in before and before[slug] != after[slug]]),
        removed=_named(before, [slug for slug in before if slug not in after]),
        parts=tuple(part for part in PARTS if older.get(part) != newer.get(part)),
    )


def drawings(body: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    """Return the drawings of a body by name; a body from before there were any has none."""
    return {drawing["name"]: drawing for drawing in body.get("drawings", ())}


def _steps(body: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    # With the drawing itself, so that a step whose picture was redrawn counts as altered.
    drawn = drawings(body)
    return {step["slug"]: {**step, "drawing": drawn.get(step["drawing"])} for step in body["steps"]}


def _named(steps: Mapping[str, Mapping[str, Any]], slugs: Sequence[str]) -> tuple[Change, ...]:
    return tuple(Change(slug, steps[slug]["title"]) for slug in slugs)


def is_fault(slug: str) -> bool:
    """Say whether a step describes a fault to look up."""
    return slug.startswith(FAULT)
