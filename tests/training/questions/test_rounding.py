"""Rounding as people are taught it."""

from decimal import Decimal
from fractions import Fraction

import pytest

from training.questions.rounding import exact, half_step, printed, round_half_up, rounded, written


class TestExact:
    def test_keeps_a_fraction_and_a_decimal_as_they_are(self) -> None:
        """Exact numbers stay exact."""
        assert exact(Fraction(1, 3)) == Fraction(1, 3)
        assert exact(Decimal("0.1")) == Fraction(1, 10)

    def test_takes_the_noise_off_a_float(self) -> None:
        """A float is read to 12 significant digits."""
        assert exact(0.1 + 0.2) == Fraction(3, 10)
        assert exact(59.99999999999999) == 60

    @pytest.mark.parametrize("value", [float("inf"), float("-inf"), float("nan")])
    def test_refuses_what_is_not_finite(self, value: float) -> None:
        """No key can be infinite."""
        with pytest.raises(ValueError, match="not finite"):
            exact(value)


class TestRoundHalfUp:
    @pytest.mark.parametrize(
        ("value", "decimals", "result"),
        [
            ("0.5", 0, 1),
            ("-0.5", 0, -1),
            ("1.5", 0, 2),
            ("2.5", 0, 3),
            ("0.125", 2, "0.13"),
            ("-2.675", 2, "-2.68"),
            ("1249", -2, 1200),
            ("1250", -2, 1300),
            ("0.4999", 0, 0),
        ],
    )
    def test_takes_a_half_away_from_zero(self, value: str, decimals: int, result: str) -> None:
        """A half goes away from zero on both sides of it."""
        assert round_half_up(Decimal(value), decimals) == Fraction(result)


class TestRounded:
    @pytest.mark.parametrize(
        ("value", "how", "result"),
        [
            ("2.1", "up", 3),
            ("2", "up", 2),
            ("2.9", "down", 2),
            ("-2.1", "down", -3),
            ("-2.1", "up", -2),
            ("2.5", "nearest", 3),
        ],
    )
    def test_follows_the_direction_asked_for(self, value: str, how: str, result: int) -> None:
        """Packs are counted up, shots down, anything else to the nearest."""
        assert rounded(Decimal(value), 0, how) == result


class TestWritten:
    @pytest.mark.parametrize(
        ("value", "decimals", "text"),
        [
            ("0", 2, "0.00"),
            ("-0.004", 2, "0.00"),
            ("-0.5", 1, "-0.5"),
            ("3.355", 2, "3.36"),
            ("1e9", 0, "1000000000"),
            ("0.05", 1, "0.1"),
            ("12", 0, "12"),
            ("1250", -2, "1300"),
        ],
    )
    def test_gives_plain_digits(self, value: str, decimals: int, text: str) -> None:
        """No exponent, no minus zero, as many decimals as asked for."""
        assert written(Decimal(value), decimals) == text


class TestPrinted:
    def test_sets_number_and_unit_with_a_space_that_does_not_break(self) -> None:
        """The SI brochure (9th edition, 5.4.3) puts a space between number and unit; the minus is a real one."""
        assert printed("-20", "°C") == "−20\N{NO-BREAK SPACE}°C"
        assert printed("4", "") == "4"


def test_half_step_is_half_of_the_last_digit() -> None:
    """Two decimals leave 0.005."""
    assert half_step(2) == Fraction(5, 1000)
    assert half_step(0) == Fraction(1, 2)
