"""A paper of forty calculation questions drawn and marked, against the bare arithmetic in it."""

from pathlib import Path

from tests.bench.measure import Figure, side_by_side
from training.calc.catalogue import CATALOGUE, compute
from training.content.load import read_content
from training.questions.book import Book, calculations
from training.questions.draw import draw
from training.questions.item import Item
from training.questions.marking import mark
from training.questions.specs import Ask, Kind, QuestionSpec
from training.questions.units import unit

CONTENT = Path(__file__).resolve().parents[2] / "fixtures" / "content"
QUESTIONS = 40
GOAL = 3.0

Call = tuple[str, dict[str, float]]


def draw_and_mark() -> tuple[Figure, ...]:
    """Time draws and marks of a paper against a loop over the same computations with the same values."""
    specs = paper()
    calls = computed(specs)
    answers = [answered(draw(spec, seed)) for seed, spec in enumerate(specs)]
    book = calculations()

    def measured() -> None:
        for seed, (spec, answer) in enumerate(zip(specs, answers, strict=True)):
            mark(draw(spec, seed, book=book), {"answer": answer}, book=book)

    def reference() -> None:
        for key, values in calls:
            compute(key, values)

    return (side_by_side("draw", measured, reference, goal=GOAL, rounds=25),)


def paper() -> list[QuestionSpec]:
    """Return forty calculation questions spread over all modules, going round again where there are fewer."""
    specs = [spec for spec in read_content(CONTENT, seeds=0).questions if spec.kind is Kind.CALCULATION]
    return [specs[place * len(specs) // QUESTIONS % len(specs)] for place in range(QUESTIONS)]


def computed(specs: list[QuestionSpec]) -> list[Call]:
    """Return every computation that the draws make, with its values: rows, keys, wrong answers, working."""
    calls: list[Call] = []

    def noted(key: str, values: dict[str, float]) -> float:
        found = compute(key, values)
        calls.append((key, dict(values)))
        return found

    for seed, spec in enumerate(specs):
        draw(spec, seed, book=Book(CATALOGUE, noted))
    return calls


def answered(item: Item) -> str:
    """Return the right answer as a person gives it."""
    (part,) = item.parts
    return f"{part.shown} {unit(part.unit).symbol}" if part.ask is Ask.NUMBER else part.right[0]
