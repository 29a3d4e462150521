"""Drawings of a module: an SVG file each under drawings/, and what is said about them in drawings.toml."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from training.content.mistakes import Mistake
from training.content.spec import Spec
from training.content.svg import Svg, examine
from training.content.table import SLUG, Table

LARGEST = 40_000


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingSpec(Spec):
    """A drawing with its words. Label number n says what marker n shows; width and height are user units."""

    name: str
    title: str
    description: str
    labels: tuple[str, ...]
    width: int
    height: int
    svg: str


def drawings(table: Table, files: Mapping[str, bytes]) -> tuple[DrawingSpec, ...]:
    """Read every [[drawing]] of ``table`` (drawings.toml); ``files`` holds the SVG files of its folder by name.

    Mistakes join the table's. A drawing that was refused is returned too, so that the steps may name it.
    """
    specs = tuple(_drawing(inner, files) for inner in table.tables("drawing"))
    table.done()
    table.once("drawing", [spec.name for spec in specs])
    for stray in sorted(set(files) - {spec.name for spec in specs}):
        table.mistakes.append(Mistake(_path(table, stray), "", f"has no [[drawing]] in {table.file}"))
    return specs


def unmatched(named: Mapping[str, str], specs: Iterable[DrawingSpec]) -> Iterator[tuple[str, str]]:
    """Yield (name, reason) of each drawing that a step names in vain or that none shows; ``named`` is by step."""
    known = {spec.name for spec in specs}
    for step, name in named.items():
        if name and name not in known:
            yield f"step[{step}].drawing", f"{name!r} is no drawing of drawings/drawings.toml"
    for name in sorted(known - set(named.values())):
        yield "step", f"none shows the drawing {name!r}; name it in a step or take it out"


def _path(table: Table, name: str) -> str:
    return f"{table.file.rpartition('/')[0]}/{name}.svg"


def _drawing(table: Table, files: Mapping[str, bytes]) -> DrawingSpec:
    name = table.text("name", shape=SLUG)
    title, description = table.text("title"), table.text("description")
    labels = table.texts("labels")
    table.done()
    text, found = "", Svg()
    if name in files:
        text, found = _file(files[name])
        table.mistakes.extend(
            Mistake(_path(table, name), f"line {line}" if line else "", reason) for line, reason in found.refused
        )
        for reason in _odd(found.marks, labels) if text else ():
            table.refuse("labels", reason)
    elif name:
        table.refuse("name", f"there is no file {_path(table, name)}")
    return DrawingSpec(
        name=name,
        title=title,
        description=description,
        labels=labels,
        width=found.width,
        height=found.height,
        svg=text,
    )


def _file(data: bytes) -> tuple[str, Svg]:
    if len(data) > LARGEST:
        return "", Svg(refused=[(0, f"is larger than {LARGEST} bytes; draw it with fewer shapes")])
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        return "", Svg(refused=[(0, f"is not UTF-8: {error.reason}")])
    return text, examine(text)


def _odd(marks: Sequence[str], labels: Sequence[str]) -> Iterator[str]:
    """Yield where markers and labels disagree: a number needs its label, a letter a word of a label."""
    numbers = {int(mark) for mark in marks if mark.isdigit()}
    for number in sorted(numbers - set(range(1, len(labels) + 1))):
        yield f"marker {number} has no label"
    for number in sorted(set(range(1, len(labels) + 1)) - numbers):
        yield f"label {number} has no marker in the drawing"
    said = " ".join(labels)
    for letter in sorted({mark for mark in marks if mark.isalpha()}):
        if not re.search(rf"\b{letter}\b", said):
            yield f"the letter {letter} is spoken of in no label"
