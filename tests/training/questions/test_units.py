"""Units by their spelling here."""

from fractions import Fraction

import pytest

from training.questions.units import ATOMS, UnknownUnit, convert, dimension, factors, fits, from_si, to_si, unit


class TestUnit:
    @pytest.mark.parametrize(
        ("spelling", "factor", "symbol"),
        [
            ("V", 1, "V"),
            ("mohm", Fraction(1, 1000), "mΩ"),
            ("uohm", Fraction(1, 10**6), "µΩ"),
            ("mm2", Fraction(1, 10**6), "mm²"),
            ("ohm/km", Fraction(1, 1000), "Ω/km"),
            ("ohm*mm2/m", Fraction(1, 10**6), "Ω·mm²/m"),
            ("J/(kg*K)", 1, "J/(kg·K)"),
            ("1/K", 1, "1/K"),
            ("1", 1, ""),
            ("%", Fraction(1, 100), "%"),
            ("Ah", 3600, "Ah"),
            ("kg", 1, "kg"),
            ("m*s-2", 1, "m/s²"),
            ("shots", 1, "shots"),
            ("lb", Fraction(45359237, 10**8), "lb"),
        ],
    )
    def test_has_an_exact_factor_and_a_printed_symbol(self, spelling: str, factor: Fraction, symbol: str) -> None:
        """Factors are fractions (the pound is exact by definition, NIST SP 811)."""
        assert (unit(spelling).factor, unit(spelling).symbol) == (factor, symbol)

    @pytest.mark.parametrize(
        "spelling",
        [
            "",
            "volt",
            "Kohm",
            "V/",
            "/V",
            "V//m",
            "V*",
            "(V",
            "V)",
            "V/(m",
            "V/(m/s)",
            "((V))",
            "V m",
            "m^0",
            "V;",
            "Ω",
            "()",
        ],
    )
    def test_refuses_any_other_spelling(self, spelling: str) -> None:
        """The list is closed."""
        with pytest.raises(UnknownUnit):
            unit(spelling)

    def test_reads_a_bracket_as_one_divisor(self) -> None:
        """J/(kg*K) divides by both."""
        assert factors("J/(kg*K)") == [("J", 1), ("kg", -1), ("K", -1)]
        assert factors("ohm*mm2/m") == [("ohm", 1), ("mm", 2), ("m", -1)]


class TestDimension:
    @pytest.mark.parametrize(
        ("spelling", "words"),
        [
            ("mV", "voltage"),
            ("A*s", "charge"),
            ("Wh", "energy"),
            ("%", "a plain number"),
            ("degF", "temperature"),
            ("K", "temperature difference"),
            ("ohm/km", "resistance per length"),
            ("dBA", "sound level"),
            ("kg*m", "length^1 mass^1"),
        ],
    )
    def test_is_said_in_words(self, spelling: str, words: str) -> None:
        """A mistake or a mark can name it."""
        assert dimension(spelling) == words


class TestConvert:
    def test_takes_a_temperature_as_a_point_on_its_scale(self) -> None:
        """68 degF is 20 degC is 293.15 K (NIST SP 811, B.8)."""
        assert convert(Fraction(68), "degF", "degC") == 20
        assert convert(Fraction("293.15"), "K", "degC") == 20

    def test_takes_it_as_a_difference_where_kelvin_are_wanted(self) -> None:
        """A rise of 20 degC is a rise of 20 K, one of 18 degF a rise of 10 K."""
        assert convert(Fraction(20), "degC", "K") == 20
        assert convert(Fraction(18), "degF", "K") == 10

    def test_refuses_another_dimension(self) -> None:
        """Volts are no amperes."""
        assert not fits("V", "A")
        with pytest.raises(ValueError, match="voltage is not current"):
            convert(Fraction(1), "V", "A")

    @pytest.mark.parametrize("spelling", sorted(ATOMS))
    def test_comes_back_from_si(self, spelling: str) -> None:
        """There and back changes nothing."""
        value = Fraction(22, 7)
        assert from_si(to_si(value, spelling), spelling) == value

    def test_si_temperatures_are_in_degrees_celsius(self) -> None:
        """What the computations take."""
        assert to_si(Fraction(212), "degF") == 100
        assert to_si(Fraction(35), "mm2") == Fraction(35, 10**6)
