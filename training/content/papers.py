"""What a paper is made of: so many questions of each topic and level, read from ``papers.toml``."""

from dataclasses import dataclass
from fractions import Fraction

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
class PaperSpec(Spec):
    """A paper: ``minutes`` long, passed at the share ``passing`` of the marks, retaken after ``waits_days``."""

    slug: str
    version: int
    title: str
    minutes: int
    passing: Fraction
    waits_days: tuple[int, ...]
    language: str
    cells: tuple[CellSpec, ...]


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
    )
    table.done()
    if "pass" in table.data and not spec.passing:
        table.refuse("pass", "must be above 0")
    if not spec.cells:
        table.refuse("cell", "is missing; a paper needs at least one [[paper.cell]]")
    table.once("cell", [f"{cell.topic} {cell.level}" for cell in spec.cells])
    return spec


def _cell(table: Table) -> CellSpec:
    spec = CellSpec(
        topic=table.text("topic", shape=SLUG), level=table.choice("level", Level), count=table.whole("count", high=100)
    )
    table.done()
    return spec
