"""What a paper is made of: so many questions of each topic and level, read from ``papers.toml``."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from training.content.spec import Spec
from training.content.table import SLUG, Table
from training.questions.specs import Level


@dataclass(frozen=True, slots=True, kw_only=True)
class CellSpec(Spec):
    """How many questions of one topic and level a paper takes."""

    topic: str
    level: Level
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DatumSpec(Spec):
    """A line of a paper's data sheet: what it is, its letter, its digits as printed with their unit, and a source."""

    says: str
    symbol: str
    value: str
    unit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperSpec(Spec):
    """A paper: ``minutes`` long, passed at the share ``passing`` of the marks, retaken after ``waits_days``.

    ``invigilated`` asks for a trainer who confirms who sits down. ``retraining_first`` holds back after many misses
    until retraining is on record. With ``part_months`` every topic must reach ``passing``, and for so many months
    only the topics that fell short are sat again; 0 takes the paper as a whole. ``data`` is the data sheet.
    """

    slug: str
    version: int
    title: str
    minutes: int
    passing: Fraction
    waits_days: tuple[int, ...]
    language: str
    cells: tuple[CellSpec, ...]
    invigilated: bool = False
    retraining_first: bool = False
    part_months: int = 0
    data: tuple[DatumSpec, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return every field as JSON values, without what the author left out: old fingerprints stay as they are."""
        table = Spec.as_json(self)
        optional = ("invigilated", "retraining_first", "part_months", "data")
        return {name: value for name, value in table.items() if value or name not in optional}


def papers(table: Table) -> tuple[PaperSpec, ...]:
    """Read every ``[[paper]]``; the table holds the mistakes."""
    found = tuple(_paper(inner) for inner in table.tables("paper"))
    table.done()
    table.once("paper", [paper.slug for paper in found])
    return found


def _paper(table: Table) -> PaperSpec:
    spec = PaperSpec(
        slug=table.text("slug", shape=SLUG),
        version=table.whole("version"),
        title=table.text("title"),
        minutes=table.whole("minutes", high=480),
        passing=table.share("pass"),
        waits_days=table.wholes("waits_days", high=365),
        language=table.text("language", "en", shape=SLUG),
        cells=tuple(_cell(inner) for inner in table.tables("cell")),
        invigilated=table.flag("invigilated"),
        retraining_first=table.flag("retraining_first"),
        part_months=table.whole("part_months", 0, low=0, high=60),
        data=tuple(_datum(inner) for inner in table.tables("data")),
    )
    table.done()
    if "pass" in table.data and not spec.passing:
        table.refuse("pass", "must be above 0")
    if not spec.cells:
        table.refuse("cell", "is missing; a paper needs at least one [[paper.cell]]")
    table.once("cell", [f"{cell.topic} {cell.level}" for cell in spec.cells])
    table.once("data", [datum.says for datum in spec.data])
    return spec


def _cell(table: Table) -> CellSpec:
    spec = CellSpec(
        topic=table.text("topic", shape=SLUG), level=table.choice("level", Level), count=table.whole("count", high=100)
    )
    table.done()
    return spec


def _datum(table: Table) -> DatumSpec:
    spec = DatumSpec(
        says=table.text("says"),
        symbol=table.text("symbol", ""),
        value=table.text("value"),
        unit=table.text("unit", ""),
        source=table.text("source"),
    )
    table.done()
    return spec
