"""What a new revision may ask of card holders, and what its author is told when it does not add up."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.training.content.test_load import FILES, SETUP, folder, refused
from tests.training.questions.workbook import BOOK
from training.content.demands import Demand, DemandSpec, Overdue
from training.content.load import read_content

__all__ = ["folder"]
Folder = Callable[..., Path]
FILE = "setup/procedure.toml"
QUESTION = "two-leads"


def asking(*lines: str) -> tuple[str, str, str]:
    """Write a [revision] table at the end of the module."""
    return (FILE, SETUP, "\n".join([SETUP, "[revision]", *lines, ""]))


def read(root: Path) -> DemandSpec | None:
    return next(one.revision for one in read_content(root, book=BOOK).modules if one.slug == "setup")


class TestDemanded:
    def test_is_nothing_without_a_table(self, folder: Folder) -> None:
        """As in every first issue."""
        assert read(folder()) is None

    def test_reads_what_is_asked(self, folder: Folder) -> None:
        """Nothing, a reading, or answers."""
        assert read(folder(asking('demand = "stands"'))) == DemandSpec(
            demand=Demand.STANDS, within_days=None, overdue=Overdue.DUE, questions=()
        )
        assert read(folder(asking('demand = "read"', "within_days = 60", 'overdue = "due"'))) == DemandSpec(
            demand=Demand.READ, within_days=60, overdue=Overdue.DUE, questions=()
        )
        lines = ('demand = "answer"', "within_days = 1", 'overdue = "stops"', f'questions = ["{QUESTION}"]')
        assert read(folder(asking(*lines))) == DemandSpec(
            demand=Demand.ANSWER, within_days=1, overdue=Overdue.STOPS, questions=(QUESTION,)
        )

    def test_belongs_to_the_text(self, folder: Folder) -> None:
        """Another demand is another revision."""
        plain = read_content(folder(), book=BOOK).modules[1]
        asks = read_content(folder(asking('demand = "stands"')), book=BOOK).modules[1]
        assert plain.digest != asks.digest

    @pytest.mark.parametrize(
        ("lines", "says"),
        [
            ((), ["demand: is missing; write one of stands, read, answer"]),
            (
                ('demand = "sign"', "within_days = 9", 'overdue = "due"'),
                ["demand: 'sign' is not one of stands, read, answer"],
            ),
            (
                ('demand = "read"',),
                ["within_days: is missing; write a whole number", "overdue: is missing; write one of due, stops"],
            ),
            (
                ('demand = "read"', "within_days = 0", 'overdue = "late"'),
                ["within_days: must be from 1 to 366", "overdue: 'late' is not one of due, stops"],
            ),
            (('demand = "read"', 'within_days = "60"', 'overdue = "due"'), ["within_days: must be a whole number"]),
            (('demand = "read"', "within_days = 367", 'overdue = "due"'), ["within_days: must be from 1 to 366"]),
            (
                ('demand = "read"', "within_days = 6", 'overdue = "due"', f'questions = ["{QUESTION}"]'),
                ["questions: belong to the demand 'answer' only"],
            ),
            (
                ('demand = "answer"', "within_days = 6", 'overdue = "due"'),
                ["questions: is missing; write a list of texts"],
            ),
            (
                ('demand = "answer"', "within_days = 6", 'overdue = "due"', "questions = []"),
                ["questions: is empty; write at least one text"],
            ),
            (
                (
                    'demand = "answer"',
                    "within_days = 6",
                    'overdue = "due"',
                    f'questions = ["{QUESTION}", "{QUESTION}"]',
                ),
                [f"questions: '{QUESTION}' is written 2 times; each must be different"],
            ),
            (
                ('demand = "answer"', "within_days = 6", 'overdue = "due"', 'questions = ["three-leads"]'),
                ["questions: 'three-leads' is no question's key"],
            ),
            (
                ('demand = "stands"', "by = 6", "within_days = 6"),
                [
                    "by: is not a key known here; check its spelling",
                    "within_days: has no meaning where cards stand; leave it out",
                ],
            ),
            (
                ('demand = "read"', "within_days = 6", 'overdue = "due"', "days = 6"),
                ["days: is not a key known here; check its spelling"],
            ),
        ],
    )
    def test_tells_every_mistake_with_its_key(self, folder: Folder, lines: tuple[str, ...], says: list[str]) -> None:
        """As one list, so that the author mends all of it at once."""
        assert sorted(refused(folder(asking(*lines)))) == sorted(f"{FILE}: revision.{one}" for one in says)

    def test_must_be_a_table(self, folder: Folder) -> None:
        """A word alone says too little."""
        lines = refused(folder((FILE, 'changed = "First issue."', 'changed = "First issue."\nrevision = "read"')))
        assert f"{FILE}: revision: must be a table [revision]" in lines

    def test_knows_the_key_from_any_module(self, folder: Folder) -> None:
        """A bridging question may come from another module's file."""
        assert "before-firing" in FILES["safety/questions.toml"]
        lines = ('demand = "answer"', "within_days = 1", 'overdue = "stops"', 'questions = ["before-firing"]')
        assert read(folder(asking(*lines))) is not None
