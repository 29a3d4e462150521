"""A folder of content read whole: one folder a module, papers and schemes beside them."""

import tomllib
from dataclasses import dataclass
from decimal import Decimal
from itertools import product
from pathlib import Path

from training.content.drawings import LARGEST as LARGEST_DRAWING
from training.content.drawings import DrawingSpec, drawings
from training.content.links import loose
from training.content.mistakes import ContentErrors, Mistake
from training.content.papers import PaperSpec, papers
from training.content.practicals import CheckSpec, checks
from training.content.procedures import ModuleSpec, module
from training.content.questions import question
from training.content.schemes import SchemeSpec, schemes
from training.content.table import SLUG, Table
from training.questions.book import Book, calculations
from training.questions.specs import QuestionSpec

LARGEST = 2_000_000
QUESTION_FILES = ("questions.toml", "calculations.toml")
MODULE_FILES = ("procedure.toml", *QUESTION_FILES, "practical.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """Everything a folder of content holds; modules in reading order, the rest as written."""

    modules: tuple[ModuleSpec, ...]
    questions: tuple[QuestionSpec, ...]
    checks: tuple[CheckSpec, ...]
    papers: tuple[PaperSpec, ...]
    schemes: tuple[SchemeSpec, ...]


def read_content(root: Path, *, book: Book | None = None, seeds: int = 12) -> Content:
    """Read and check a folder of content. Raises ContentErrors carrying every mistake of every file.

    ``seeds`` draws of each calculation question are tried; ``book`` is the list of computations.
    """
    mistakes: list[Mistake] = []
    reading = _Reading(root, mistakes, book or calculations(), seeds)
    homes = reading.questions()
    content = Content(
        modules=tuple(sorted(reading.modules(), key=lambda module: (module.order, module.slug))),
        questions=tuple(spec for _, spec in homes),
        checks=tuple(reading.checks()),
        papers=reading.papers(),
        schemes=reading.schemes(),
    )
    if not root.is_dir():
        mistakes.append(Mistake(str(root), "", "is not a folder of content"))
    mistakes.extend(loose(content, [file for file, _ in homes], whole=not mistakes))
    if mistakes:
        raise ContentErrors(mistakes)
    return content


@dataclass(frozen=True, slots=True)
class _Reading:
    root: Path
    mistakes: list[Mistake]
    book: Book
    seeds: int

    def folders(self) -> list[Path]:
        return sorted(path for path in self.root.glob("*/") if any((path / name).exists() for name in MODULE_FILES))

    def table(self, path: Path) -> Table | None:
        """Open a file as a table; a missing file is none, a broken one a mistake."""
        if not path.exists():
            return None
        file = path.relative_to(self.root).as_posix()
        try:
            if path.stat().st_size > LARGEST:
                raise ValueError(f"is larger than {LARGEST} bytes")
            data = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
        except (ValueError, ArithmeticError, RecursionError) as error:
            self.mistakes.append(Mistake(file, "", f"cannot be read: {error}"))
            return None
        return Table(data, file=file, path="", mistakes=self.mistakes)

    def modules(self) -> list[ModuleSpec]:
        found = []
        for folder in self.folders():
            table = self.table(folder / "procedure.toml")
            if table is None:
                continue
            spec = module(table, folder=folder.name, drawings=self.drawings(folder / "drawings"))
            if spec is not None:
                found.append(spec)
        return found

    def drawings(self, folder: Path) -> tuple[DrawingSpec, ...] | None:
        """Read a module's drawings; None when what is said about them cannot be read."""
        path = folder / "drawings.toml"
        table = self.table(path)
        if table is None and path.exists():
            return None
        if table is None:
            table = Table({}, file=path.relative_to(self.root).as_posix(), path="", mistakes=self.mistakes)
        return drawings(table, {path.stem: _start(path) for path in sorted(folder.glob("*.svg"))})

    def questions(self) -> list[tuple[str, QuestionSpec]]:
        """Return each question after the file it stands in."""
        found = []
        for folder, name in product(self.folders(), QUESTION_FILES):
            table = self.table(folder / name)
            if table is None:
                continue
            language = table.text("language", shape=SLUG)
            inners = table.tables("question")
            table.done()
            specs = (
                question(inner, book=self.book, language=language, topic=folder.name, seeds=self.seeds)
                for inner in inners
            )
            found += [(table.file, spec) for spec in specs if spec is not None]
        return found

    def checks(self) -> list[CheckSpec]:
        tables = [(folder, self.table(folder / "practical.toml")) for folder in self.folders()]
        return [check for folder, table in tables if table is not None for check in checks(table, folder=folder.name)]

    def papers(self) -> tuple[PaperSpec, ...]:
        table = self.table(self.root / "papers.toml")
        return () if table is None else papers(table)

    def schemes(self) -> tuple[SchemeSpec, ...]:
        table = self.table(self.root / "schemes.toml")
        return () if table is None else schemes(table)


def _start(path: Path) -> bytes:
    """Return a drawing, or just enough of a huge file to tell that it is too large."""
    with path.open("rb") as file:
        return file.read(LARGEST_DRAWING + 1)
