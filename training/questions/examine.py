"""A question looked at over many draws, so that its author sees what candidates will see."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from training.questions.book import Book
from training.questions.canonical import canonical
from training.questions.draw import draw_counted
from training.questions.item import Part
from training.questions.specs import Ask, QuestionSpec

# Points that chi-square passes once in a thousand, by degrees of freedom
# (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, upper-tail .001).
CHI_SQUARE = (10.828, 13.816, 16.266, 18.467, 20.515, 22.458, 24.322, 26.125)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartReport:
    """One part over the draws: the range of its key as shown, and where its right option stood.

    ``chi_square`` compares the places with an even spread and ``even`` says whether chance explains it; a ladder of
    numbers is never shuffled, so there it tells the author that the key is too often the largest, say.
    """

    name: str
    unit: str
    low: str
    high: str
    places: tuple[int, ...]
    chi_square: float
    even: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What ``examine`` found: ``different`` of ``draws`` items, and rejected sets of values by reason."""

    draws: int
    different: int
    rejected: Mapping[str, int]
    parts: tuple[PartReport, ...]

    @property
    def rejection_rate(self) -> Fraction:
        """Return the share of sets of values that could not be used."""
        lost = sum(self.rejected.values())
        return Fraction(lost, lost + self.draws)


def examine(spec: QuestionSpec, draws: int, *, book: Book | None = None) -> Report:
    """Draw a question so many times (at least once) and report. Raises AuthoringError if it cannot be drawn."""
    drawn = [draw_counted(spec, f"preview:{number}", book=book) for number in range(draws)]
    rejected = sum((one.rejected for one in drawn), Counter[str]())
    sheets = {canonical(_sheet(one.item.shown())) for one in drawn}
    parts = zip(*(one.item.parts for one in drawn), strict=True)
    return Report(
        draws=draws, different=len(sheets), rejected=dict(rejected), parts=tuple(_part(versions) for versions in parts)
    )


def _sheet(shown: dict[str, object]) -> dict[str, object]:
    return {name: value for name, value in shown.items() if name != "seed"}


def _part(versions: tuple[Part, ...]) -> PartReport:
    keys = sorted((part.shown for part in versions if part.shown), key=Fraction)
    first = versions[0]
    places = _places(versions) if first.ask is Ask.ONE else ()
    even = len(versions) / len(places) if places else 1.0
    chi_square = sum((count - even) ** 2 / even for count in places)
    limit = CHI_SQUARE[max(len(places) - 2, 0)]
    low, high = (keys[0], keys[-1]) if keys else ("", "")
    return PartReport(
        name=first.name,
        unit=first.unit,
        low=low,
        high=high,
        places=places,
        chi_square=chi_square,
        even=chi_square <= limit,
    )


def _places(versions: tuple[Part, ...]) -> tuple[int, ...]:
    counts = Counter([name for name, _ in part.options].index(part.right[0]) for part in versions)
    return tuple(counts[place] for place in range(len(versions[0].options)))
