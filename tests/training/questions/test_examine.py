"""A question looked at over many draws."""

from fractions import Fraction

import pytest
from scipy.stats import chi2

from tests.training.questions.workbook import BOOK, CHAIN, DROP, ORDER, SHOTS, spec, table
from training.questions.examine import CHI_SQUARE, examine


class TestExamine:
    def test_gives_the_range_of_the_key(self) -> None:
        """12 to 18 mohm at 200 to 260 A: 2.40 to 4.68 V."""
        report = examine(spec(DROP), 200, book=BOOK)
        part = report.parts[0]
        assert (part.name, part.unit, part.low, part.high, part.places) == ("answer", "V", "2.40", "4.68", ())
        assert part.even
        assert report.rejection_rate == 0

    def test_counts_different_sheets(self) -> None:
        """13 resistances by 4 currents are 52 sheets; 200 draws see most of them."""
        report = examine(spec(DROP), 200, book=BOOK)
        assert 45 <= report.different <= 52

    def test_gives_the_share_of_draws_rejected(self) -> None:
        """With one pack the shots are the same whichever way they are counted, so those draws are lost."""
        given = table(DROP)["given"]
        given["resistance"] = {"choice": [13, 1000], "unit": "mohm"}
        report = examine(spec(DROP, given=given), 60, book=BOOK)
        assert set(report.rejected) == {"equal"}
        assert report.rejection_rate == Fraction(report.rejected["equal"], report.rejected["equal"] + 60)
        assert report.parts[0].low == "2.60"

    def test_watches_where_the_right_option_stands(self) -> None:
        """Numbers in order of size: the key lies between its half and its 16000-fold, so always second."""
        report = examine(spec(DROP, answer={**table(DROP)["answer"], "ask": "options"}), 60, book=BOOK)
        part = report.parts[0]
        assert part.places == (0, 60, 0)
        assert part.chi_square == 120
        assert not part.even

    def test_finds_shuffled_options_even(self) -> None:
        """Two of three places are shuffled, so the third is never right and the report says so."""
        part = examine(spec(CHAIN), 60, book=BOOK).parts[2]
        assert part.places[2] == 0
        assert not part.even
        assert (part.low, part.high) == ("", "")

    def test_reports_on_an_order_and_on_a_count(self) -> None:
        """An order has no places to watch."""
        assert examine(spec(ORDER), 30, book=BOOK).parts[0].places == ()
        assert examine(spec(SHOTS), 30, book=BOOK).parts[0].high == "38"


@pytest.mark.parametrize("degrees", range(1, 9))
def test_chi_square_points_agree_with_scipy(degrees: int) -> None:
    """The handbook's table to its three decimals."""
    assert chi2.isf(0.001, degrees) == pytest.approx(CHI_SQUARE[degrees - 1], abs=6e-4)
