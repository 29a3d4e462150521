"""What an assessor watches for in a practical, read from ``practical.toml``."""

from dataclasses import dataclass

from training.content.spec import Spec
from training.content.table import SLUG, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckSpec(Spec):
    """One check of a module's practical; a critical one must be good for a pass. ``step`` is "<module>.<step>"."""

    module: str
    slug: str
    step: str
    text: str
    good: str
    critical: bool
    weight: int


def checks(table: Table, *, folder: str) -> tuple[CheckSpec, ...]:
    """Read the checks of a module; the table holds the mistakes."""
    if "language" in table.data:
        table.text("language", shape=SLUG)
    found = tuple(_check(inner, folder) for inner in table.tables("check"))
    table.done()
    if not found:
        table.refuse("check", "is missing; a practical needs at least one [[check]]")
    table.once("check", [check.slug for check in found])
    return found


def _check(table: Table, folder: str) -> CheckSpec:
    spec = CheckSpec(
        module=folder,
        slug=table.text("slug", shape=SLUG),
        step=table.text("step"),
        text=table.text("text"),
        good=table.text("good"),
        critical=table.flag("critical"),
        weight=table.whole("weight", 1, high=10),
    )
    table.done()
    return spec
