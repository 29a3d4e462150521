"""Every shipped question with a number, two hundred times: right answers are right, mistakes are named."""

from collections.abc import Iterator
from contextlib import suppress
from fractions import Fraction
from functools import cache
from itertools import islice, product
from pathlib import Path

import pytest

from training.calc.catalogue import CATALOGUE, compute
from training.content.load import read_content
from training.questions.draw import draw
from training.questions.item import Item, Part
from training.questions.marking import Response, mark
from training.questions.reading import Unreadable
from training.questions.rounding import exact, rounded
from training.questions.specs import Ask, Kind, QuestionSpec
from training.questions.units import convert, unit

CONTENT = Path(__file__).resolve().parents[2] / "fixtures" / "content"
SEEDS = 200
NUMERIC = (Kind.CALCULATION, Kind.SCENARIO)


@cache
def specs() -> dict[str, QuestionSpec]:
    """The calculations and scenarios of the content by key."""
    return {spec.key: spec for spec in read_content(CONTENT, seeds=0).questions if spec.kind in NUMERIC}


@cache
def drawn(key: str) -> list[Item]:
    """The items of every seed."""
    return [draw(specs()[key], seed) for seed in range(SEEDS)]


def right(part: Part) -> Response:
    return part.order or part.right or typed(part, part.shown)


def typed(part: Part, digits: str) -> str:
    """Return digits with the unit that the part asks for."""
    return f"{digits} {unit(part.unit).symbol}"


def recomputed(spec: QuestionSpec, item: Item) -> Iterator[tuple[Part, Fraction]]:
    """Yield each number again, from the printed givens and the unrounded answers before it."""
    known = {
        author.name: (Fraction(given.value), author.unit)
        for author, given in zip(spec.givens, item.givens, strict=True)
    }
    for author, part in zip(spec.parts, item.parts, strict=True):
        if not part.computation:
            continue
        entry = CATALOGUE[part.computation]
        values = {slot.name: float(convert(*known[author.inputs.get(slot.name, slot.name)], slot.unit))
                  for slot in entry.inputs}  # fmt: skip
        value = convert(exact(compute(entry.key, values)), entry.output.unit, part.unit)
        value = value if part.round == "nearest" else rounded(value, 0, part.round)
        known[f"part:{part.name}"] = (value, part.unit)
        yield part, value


class TestDraws:
    """Two hundred seeds of each kind."""

    @pytest.mark.parametrize("key", specs())
    def test_a_rightly_rounded_answer_is_right(self, key: str) -> None:
        """The key as shown, with its unit, has full marks in every part."""
        for item in drawn(key):
            found = mark(item, {part.name: right(part) for part in item.parts})
            assert [one for one in found if one.share != 1] == [], item.seed

    @pytest.mark.parametrize("key", specs())
    def test_a_mistake_is_refused_and_named(self, key: str) -> None:
        """Each wrong answer that the question lists, as a person would round it."""
        for item in drawn(key):
            for part in item.parts:
                for wrong in part.wrong if part.ask is Ask.NUMBER else ():
                    marks = mark(item, {part.name: typed(part, wrong.shown)})
                    (found,) = [one for one in marks if one.name == part.name]
                    assert (found.share, found.misconception) == (0, wrong.misconception), (item.seed, part.name)

    @pytest.mark.parametrize("key", specs())
    def test_an_answer_is_what_the_printed_values_give(self, key: str) -> None:
        """Nothing hidden goes into a key."""
        for item in drawn(key):
            for part, value in recomputed(specs()[key], item):
                assert part.value == value, (item.seed, part.name)

    @pytest.mark.parametrize("key", specs())
    def test_no_two_answers_print_the_same(self, key: str) -> None:
        """Key and wrong answers, and options, are told apart on paper."""
        for item in drawn(key):
            for part in item.parts:
                shown = [part.shown, *(wrong.shown for wrong in part.wrong)] if part.computation else []
                texts = [text for _, text in part.options]
                assert len(set(shown)) == len(shown), (item.seed, part.name)
                assert len(set(texts)) == len(texts), (item.seed, part.name)


NUMBERS = (
    "", " ", "-", "3", "-3,37", "1,250", "1.2.3", "0", "00", "1e999", "1e-999", "9" * 79, "½", "٣", "NaN", "inf",
    "0x1f", "1/0", "3" * 5000, "'; drop table", "<b>3</b>", "\0", "3\u202e4", "\ud800", "e9", "10^^10", "1e30",
)  # fmt: skip
UNITS = ("", " V", " mohm", " MOHM", " ohm**99", " m-m", " /s", " K*K", " $", " %%", " \N{OHM SIGN}", " kkV")


class TestHostileAnswers:
    """What no key was ever meant for."""

    @pytest.mark.parametrize("key", specs())
    def test_are_read_or_asked_again(self, key: str) -> None:
        """Three hundred strings: a mark of none to all of the part, or a sentence, and nothing else."""
        hostile = ["".join(pair) for pair in islice(product(NUMBERS, UNITS), 300)]
        assert len(hostile) == 300
        item = drawn(key)[0]
        for text in hostile:
            with suppress(Unreadable):
                assert all(0 <= one.share <= 1 for one in mark(item, {part.name: text for part in item.parts}))
