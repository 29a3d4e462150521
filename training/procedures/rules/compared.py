"""What differs between two revisions of a procedure."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from enum import StrEnum
from typing import Any


@dataclass(frozen=True, slots=True)
class Change:
    """A step that came, went or reads differently; `slug` is its anchor."""

    slug: str
    title: str


@dataclass(frozen=True, slots=True)
class Changes:
    """What differs between an older and a newer body of one module; `asked`: steps that only ask something else."""

    added: tuple[Change, ...]
    altered: tuple[Change, ...]
    asked: tuple[Change, ...]
    removed: tuple[Change, ...]
    parts: tuple[str, ...]


# The parts of a module beside its steps, by their key in the content file.
PARTS = ("title", "purpose", "tools", "stops", "field_limit", "sources")


def changes(older: Mapping[str, Any], newer: Mapping[str, Any]) -> Changes:
    """Compare two bodies as loaded; steps are matched by slug, so a renamed step counts as one gone, one come."""
    before, after = _steps(older), _steps(newer)
    stayed = [slug for slug in after if slug in before and before[slug] != after[slug]]
    reads = [slug for slug in stayed if _text(before[slug]) != _text(after[slug])]
    return Changes(
        added=_named(after, [slug for slug in after if slug not in before]),
        altered=_named(after, reads),
        asked=_named(after, [slug for slug in stayed if slug not in reads]),
        removed=_named(before, [slug for slug in before if slug not in after]),
        parts=tuple(part for part in PARTS if older.get(part) != newer.get(part)),
    )


def same_text(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Say whether two bodies read alike to the letter; their drawings stand in files of their own."""
    apart = {"drawings"}
    return all(one.get(key) == other.get(key) for key in (one.keys() | other.keys()) - apart)


def drawings(body: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    """Return the drawings of a body by name; a body from before there were any has none."""
    return {drawing["name"]: drawing for drawing in body.get("drawings", ())}


def _steps(body: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    # With the drawing itself, so that a step whose picture was redrawn counts as altered.
    drawn = drawings(body)
    return {step["slug"]: {**step, "drawing": drawn.get(step["drawing"])} for step in body["steps"]}


def _text(step: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in step.items() if key != "ask"}


def _named(steps: Mapping[str, Mapping[str, Any]], slugs: Sequence[str]) -> tuple[Change, ...]:
    return tuple(Change(slug, steps[slug]["title"]) for slug in slugs)


class Mark(StrEnum):
    """What became of a piece of text between two revisions."""

    SAME = "same"
    REMOVED = "removed"
    ADDED = "added"


@dataclass(frozen=True, slots=True)
class Piece:
    """A run of words with the same fate."""

    mark: Mark
    text: str


@dataclass(frozen=True, slots=True)
class Reworded:
    """A part whose words differ, by its key: each changed sentence as pieces in reading order."""

    part: str
    sentences: tuple[tuple[Piece, ...], ...]


@dataclass(frozen=True, slots=True)
class Relisted:
    """A list that differs, by its key: the lines taken out and the lines put in."""

    part: str
    removed: tuple[str, ...]
    added: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Refigured:
    """A working figure that differs, as loaded; without an older one it is new, without a newer one taken out."""

    older: Mapping[str, Any] | None
    newer: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True)
class StepChange:
    """A step that was added, removed or (mark SAME) changed; `redrawn` marks its drawing, or None.

    `asks` marks the questions at its hold point.
    """

    mark: Mark
    slug: str
    title: str
    texts: tuple[Reworded, ...]
    lists: tuple[Relisted, ...]
    figures: tuple[Refigured, ...]
    redrawn: Mark | None
    asks: Mark | None


@dataclass(frozen=True, slots=True)
class Difference:
    """Everything that differs between two bodies; `reordered` when steps of both stand in another order."""

    texts: tuple[Reworded, ...]
    lists: tuple[Relisted, ...]
    steps: tuple[StepChange, ...]
    reordered: bool

    @property
    def is_empty(self) -> bool:
        """Whether a reader would find both alike."""
        return not (self.texts or self.lists or self.steps or self.reordered)


TEXTS = ("title", "purpose")
LISTS = ("tools", "stops", "field_limit", "sources")
STEP_TEXTS = ("title", "text", "why", "caution", "hold")
STEP_LISTS = ("tools",)
# A sentence ends where a capital, a quote or a bracket follows the space: not in "8.5 mm" nor after "approx. 3".
_SENTENCE = re.compile(r"(?<=[.!?:;])\s+(?=[^\sa-z0-9])")


def difference(older: Mapping[str, Any], newer: Mapping[str, Any]) -> Difference:
    """Compare two bodies as loaded, word by word; steps are matched by slug and given in the newer order."""
    before, after = _steps(older), _steps(newer)
    shared = [slug for slug in before if slug in after]
    steps = [_step_change(slug, before.get(slug, {}), step) for slug, step in after.items() if before.get(slug) != step]
    gone = [_step_change(slug, step, {}) for slug, step in before.items() if slug not in after]
    return Difference(
        texts=_texts(TEXTS, older, newer),
        lists=_lists(LISTS, older, newer),
        steps=(*steps, *gone),
        reordered=shared != [slug for slug in after if slug in before],
    )


def _step_change(slug: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> StepChange:
    return StepChange(
        mark=_fate(before, after),
        slug=slug,
        title=(after or before)["title"],
        texts=_texts(STEP_TEXTS, before, after),
        lists=_lists(STEP_LISTS, before, after),
        figures=tuple(_figures(before.get("figures", ()), after.get("figures", ()))),
        redrawn=_apart(before.get("drawing"), after.get("drawing")),
        asks=_apart(before.get("ask"), after.get("ask")),
    )


def _apart(before: object, after: object) -> Mark | None:
    return None if before == after else _fate(before, after)


def _fate(before: object, after: object) -> Mark:
    if before and after:
        return Mark.SAME
    return Mark.ADDED if after else Mark.REMOVED


def _texts(parts: Sequence[str], older: Mapping[str, Any], newer: Mapping[str, Any]) -> tuple[Reworded, ...]:
    found = (Reworded(part, reworded(older.get(part, ""), newer.get(part, ""))) for part in parts)
    return tuple(one for one in found if one.sentences)


def _lists(parts: Sequence[str], older: Mapping[str, Any], newer: Mapping[str, Any]) -> tuple[Relisted, ...]:
    found = (_relisted(part, older.get(part, ()), newer.get(part, ())) for part in parts)
    return tuple(one for one in found if one.removed or one.added)


def _relisted(part: str, before: Sequence[str], after: Sequence[str]) -> Relisted:
    return Relisted(
        part,
        removed=tuple(line for line in before if line not in after),
        added=tuple(line for line in after if line not in before),
    )


def _figures(before: Sequence[Mapping[str, Any]], after: Sequence[Mapping[str, Any]]) -> Iterator[Refigured]:
    """Yield the figures that differ, matched by what they say."""
    old, new = ({figure["says"]: figure for figure in figures} for figures in (before, after))
    for says in [*old, *(says for says in new if says not in old)]:
        if old.get(says) != new.get(says):
            yield Refigured(old.get(says), new.get(says))


def reworded(older: str, newer: str) -> tuple[tuple[Piece, ...], ...]:
    """Return the sentences that differ, each as runs of words kept, removed and added; none where both are alike."""
    before, after = (_SENTENCE.split(" ".join(text.split())) for text in (older, newer))
    codes = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    return tuple(_pieces(" ".join(before[i:j]), " ".join(after[k:m])) for code, i, j, k, m in codes if code != "equal")


def _pieces(older: str, newer: str) -> tuple[Piece, ...]:
    before, after = older.split(), newer.split()
    found: list[Piece] = []
    for code, i, j, k, m in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if code == "equal":
            found.append(Piece(Mark.SAME, " ".join(before[i:j])))
            continue
        runs = (Piece(Mark.REMOVED, " ".join(before[i:j])), Piece(Mark.ADDED, " ".join(after[k:m])))
        found += [run for run in runs if run.text]
    return tuple(found)
