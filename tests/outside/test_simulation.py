"""Simulated sittings through assembly, drawing and marking: the statistics find again what was put in.

True values come from the model of the simulated people, by scipy's integration and binomial distribution.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence

import numpy as np
import pytest
from scipy.integrate import quad_vec
from scipy.special import expit
from scipy.stats import binom, norm

from tests.training.questions.workbook import BOOK, CHAIN, DROP, ORDER, SEVERAL, SHOTS, spec
from training.questions.draw import draw
from training.questions.item import Item, Part
from training.questions.marking import Response, mark
from training.questions.papers import Cell, Pooled, assemble
from training.questions.specs import Ask, QuestionSpec
from training.questions.units import unit
from training.statistics.decisions import guess_pass
from training.statistics.intervals import wilson
from training.statistics.item_response import rasch
from training.statistics.reliability import alpha_with_gaps
from training.statistics.stream import Responses

TOPICS = {"setup": 0.5, "safety": 0.3, "firing": 0.2}
KINDS = {"setup": (DROP, SHOTS, CHAIN), "safety": (SEVERAL,), "firing": (ORDER,)}


def bank(each: int) -> dict[str, QuestionSpec]:
    """Return so many questions of each topic: numbers, scenarios with parts, choices and orders."""
    return {
        f"{topic}-{number}": spec(texts[number % len(texts)], key=f"{topic}-{number}", topic=topic, level="know")
        for topic, texts in KINDS.items()
        for number in range(each)
    }


def blueprint(count: int) -> list[Cell]:
    """Return the cells of a paper of so many questions."""
    return [Cell(topic=topic, level="know", count=round(share * count)) for topic, share in TOPICS.items()]


def most_missed(limits: int) -> int:
    """Return how many of so many limits at 99 % may miss, but for one simulation in a thousand."""
    return int(binom.ppf(0.999, limits, 0.01))


class Office:
    """Puts papers together from the bank, the little-used questions first, and marks what is answered."""

    def __init__(self, specs: dict[str, QuestionSpec]) -> None:
        self.specs = specs
        self.uses = Counter[str]()

    def paper(self, cells: Sequence[Cell], sitting: int) -> list[Item]:
        """Return the questions of one sitting, drawn."""
        pool = [
            Pooled(key=key, topic=one.topic, level=str(one.level), uses=self.uses[key])
            for key, one in self.specs.items()
        ]
        keys = assemble(cells, pool, seed=sitting)
        self.uses.update(keys)
        return [draw(self.specs[key], f"{sitting}/{place}", book=BOOK) for place, key in enumerate(keys)]

    @staticmethod
    def marks(paper: Sequence[Item], known: Sequence[bool]) -> Iterator[float]:
        """Yield the mark of each question: the right answer where it is known, a wrong one elsewhere."""
        for item, right in zip(paper, known, strict=True):
            said = {part.name: (answer(part) if right else mistake(part)) for part in item.parts}
            yield float(min(one.share for one in mark(item, said, book=BOOK)))


def answer(part: Part) -> Response:
    """Return the right answer as a person gives it."""
    if part.ask is Ask.NUMBER:
        return f"{part.shown} {unit(part.unit).symbol}"
    return part.order or part.right


def mistake(part: Part) -> Response:
    """Return a wrong answer: a thousandfold, every line the other way round, or the options that are not right."""
    if part.ask is Ask.NUMBER:
        return f"{float(part.shown) * 1000:.0f} {unit(part.unit).symbol}"
    if part.ask is Ask.ORDER:
        return part.order[::-1]
    return [name for name, _text in part.options if name not in part.right][: 1 if part.ask is Ask.ONE else None]


SITTINGS = 2_000
QUESTIONS = 36
BANK = bank(QUESTIONS // 3)
DIFFICULTY = np.random.default_rng(20).permutation(np.linspace(-2.5, 1.0, QUESTIONS))


def mean(of: Callable[[np.ndarray], np.ndarray], difficulty: np.ndarray = DIFFICULTY) -> np.ndarray:
    """Return the mean over people of normal ability of what is made of their chances on each question."""
    return quad_vec(lambda ability: norm.pdf(ability) * of(expit(ability - difficulty)), -8, 8)[0]


@pytest.fixture(scope="module")
def sat() -> np.ndarray:
    """Marks on papers of 20 from the bank, shape (sittings, questions); nan where a paper did not have the question."""
    office, stream = Office(BANK), np.random.default_rng(2026)
    place = {key: number for number, key in enumerate(BANK)}
    table = np.full((SITTINGS, QUESTIONS), np.nan)
    for sitting, ability in enumerate(stream.normal(size=SITTINGS)):
        paper = office.paper(blueprint(20), sitting)
        columns = [place[item.question] for item in paper]
        known = stream.random(20) < expit(ability - DIFFICULTY[columns])
        table[sitting, columns] = list(office.marks(paper, known.tolist()))
    return table


class TestQuestions:
    """2,000 people of normal ability, difficulties from -2.5 to 1 (Rasch's model)."""

    def test_facility_lies_within_its_limits(self, sat: np.ndarray) -> None:
        """Of 36 limits at 99 % no more miss than chance lets once in a thousand, and none by five errors."""
        missed = 0
        for marks, share in zip(sat.T, mean(lambda right: right), strict=True):
            given = marks[np.isfinite(marks)]
            assert 500 < given.size < 1_800
            limits = wilson(given.sum(), given.size, level=0.99)
            missed += not limits.low <= share <= limits.high
            assert abs(given.mean() - share) < 5 * np.sqrt(share * (1 - share) / given.size)
        assert missed <= most_missed(QUESTIONS)

    def test_alpha_of_the_bank(self, sat: np.ndarray) -> None:
        """From the people who had both of two questions: that of the model with all 36, to .02."""
        share = mean(lambda right: right)
        # Answers to two questions go together as the chances do; an answer with itself as right and wrong do.
        covariance = mean(lambda right: np.outer(right, right)) - np.outer(share, share)
        np.fill_diagonal(covariance, share * (1 - share))
        true = QUESTIONS / (QUESTIONS - 1) * (1 - np.trace(covariance) / covariance.sum())
        assert alpha_with_gaps(sat) == pytest.approx(true, abs=0.02)


class TestOnePaper:
    def test_difficulties_of_a_fixed_paper(self) -> None:
        """2,000 people sit the same ten questions: Rasch's difficulties lie within 99 % limits, as facility does."""
        difficulty = np.linspace(-2, 1, 10)
        office, stream, met = Office(bank(5)), np.random.default_rng(7), Responses(10)
        paper = office.paper(blueprint(10), 1)
        table = np.array(
            [
                list(office.marks(paper, (stream.random(10) < expit(ability - difficulty)).tolist()))
                for ability in stream.normal(size=2_000)
            ]
        )
        for block in np.split(table, 8):
            met.add(block)
        found = rasch(table)
        assert int((abs(found.difficulty - difficulty) > 2.576 * found.difficulty_error).sum()) <= most_missed(10)
        true = mean(lambda right: right, difficulty)
        limits = [wilson(share * 2_000, 2_000, level=0.99) for share in met.facility()]
        assert sum(not one.low <= share <= one.high for one, share in zip(limits, true, strict=True)) <= most_missed(10)


class TestShortPapers:
    """How often people of one true level pass at 80 %, by the length of the paper; 200 sittings each."""

    SITTINGS = 200
    SPECS = bank(32)

    @pytest.mark.parametrize("k", [10, 20, 40, 60])
    def test_pass_as_often_as_the_binomial_says(self, k: int) -> None:
        """For levels .90, .80, .70 and .60, within what 999 of 1000 such simulations give."""
        office, stream = Office(self.SPECS), np.random.default_rng(k)
        cut, cells = k * 4 // 5, blueprint(k)
        for level in (0.9, 0.8, 0.7, 0.6):
            passed = 0
            for sitting in range(self.SITTINGS):
                known = (stream.random(k) < level).tolist()
                passed += sum(office.marks(office.paper(cells, sitting), known)) >= cut
            low, high = binom.interval(0.999, self.SITTINGS, guess_pass([level] * k, cut))
            assert low <= passed <= high
