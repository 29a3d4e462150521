"""Numbers and units as people type them."""

from fractions import Fraction

import pytest

from training.questions.reading import LONGEST, Unreadable, read


class TestRead:
    @pytest.mark.parametrize(
        ("typed", "value"),
        [
            ("3.37", "3.37"),
            ("3,37", "3.37"),
            (" = 3.4 ", "3.4"),
            ("≈3.4", "3.4"),
            ("+5", "5"),
            ("-5", "-5"),
            ("−5", "-5"),
            ("–5", "-5"),
            (".5", "0.5"),
            (",5", "0.5"),
            ("5.", "5"),
            ("1 234,5", "1234.5"),
            ("1\N{THIN SPACE}234", "1234"),
            ("1\N{NARROW NO-BREAK SPACE}234\N{NARROW NO-BREAK SPACE}567", "1234567"),
            ("1\N{NO-BREAK SPACE}234.5", "1234.5"),
            ("1'234.5", "1234.5"),
            ("1’234’567", "1234567"),
            ("1 234,567", "1234.567"),
            ("0.001 250", "0.00125"),
            ("1,250.5", "1250.5"),
            ("1.250,5", "1250.5"),
            ("1,234,567", "1234567"),
            ("1.234.567", "1234567"),
            ("0,250", "0.25"),
            ("1234,500", "1234.5"),
            ("1.250", "1.25"),
            ("1,25", "1.25"),
            ("1.2 x 10^-4", "0.00012"),
            ("1.2 X 10^-4", "0.00012"),
            ("1.2×10⁻⁴", "0.00012"),
            ("1.2·10⁻⁴", "0.00012"),
            ("1.2 * 10**-4", "0.00012"),
            ("1.2 x 10-4", "0.00012"),
            ("1.2 x 10^(-4)", "0.00012"),
            ("1.2e-4", "0.00012"),
            ("1.2E+3", "1200"),
            ("10^-4", "0.0001"),
            ("-10⁻⁴", "-0.0001"),
            ("３．５", "3.5"),
        ],
    )
    def test_understands_every_way_a_number_is_written(self, typed: str, value: str) -> None:
        """Comma or point, groups, real minus signs, powers of ten."""
        assert read(typed).value == Fraction(value)
        assert read(typed).unit is None

    @pytest.mark.parametrize(
        ("typed", "unit"),
        [
            ("3,37 V", "V"),
            ("3.37V.", "V"),
            ("160 mOhm", "mohm"),
            ("160 m\N{OHM SIGN}", "mohm"),
            ("160 m\N{GREEK CAPITAL LETTER OMEGA}", "mohm"),
            ("5 \N{MICRO SIGN}\N{OHM SIGN}", "uohm"),
            ("5 \N{GREEK SMALL LETTER MU}V", "uV"),
            ("12 KV", "kV"),
            ("35 mm²", "mm2"),
            ("35 mm^2", "mm2"),
            ("0.5 Ω/km", "ohm*km-1"),
            ("20 °C", "degC"),
            ("20 ℃", "degC"),
            ("68 ℉", "degF"),
            ("5 ％", "%"),
            ("3 A·h", "A*h"),
            ("1.2e-4 ohm", "ohm"),
            ("3 m", "m"),
            ("1 234 V", "V"),
        ],
    )
    def test_understands_every_way_a_unit_is_written(self, typed: str, unit: str) -> None:
        """Both micro signs, both ohm signs, superscripts, degrees."""
        assert read(typed).unit == unit

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ("", "No number begins"),
            ("V", "No number begins"),
            ("about 3", "No number begins"),
            ("$5", "No number begins"),
            ("1,250", "can mean 1250 or 1.250"),
            ("-12,500 V", "can mean 12500 or 12.500"),
            ("3 MOHM", "can mean mΩ or MΩ"),
            ("1.2.3", "do not fit"),
            ("1,2,3", "do not fit"),
            ("1'23", "do not fit"),
            ("123 45", "do not fit"),
            ("12 5", "'5' after the number is not a unit"),
            ("3 V 2", "such as 3.4 V"),
            ("3 ± 0.1 V", "belongs to no number"),
            ("٣", "belongs to no number"),
            ("3\x00", "belongs to no number"),
            ("\ud800", "belongs to no number"),
            ("1e999999999", "far beyond"),
            ("1 x 10^31", "far beyond"),
            ("9" * (LONGEST + 1), "longer than"),
            ("2 ** 3", "not a unit"),
            ("1/2", "not a unit"),
        ],
    )
    def test_asks_again_for_what_it_cannot_read(self, typed: str, says: str) -> None:
        """The sentence says what to do; nothing is guessed."""
        with pytest.raises(Unreadable) as caught:
            read(typed, like="V")
        assert says in caught.value.sentence
        assert caught.value.part == ""

    def test_asks_for_the_number_alone_where_there_is_no_unit(self) -> None:
        """A count has no unit to suggest."""
        with pytest.raises(Unreadable, match="Write the number alone"):
            read("3 furlongs", like="1")

    @pytest.mark.parametrize(
        ("typed", "figures"),
        [("1200", (2, 4)), ("0.0120", (3, 3)), ("3,37", (3, 3)), ("1.20e3", (3, 3)), ("0", (0, 0)), ("5", (1, 1))],
    )
    def test_counts_significant_figures_in_favour_of_the_person(self, typed: str, figures: tuple[int, int]) -> None:
        """1200 may have two to four figures, 0.0120 has three (the zeros of a whole number are left open)."""
        assert read(typed).figures == figures

    def test_prints_what_it_understood(self) -> None:
        """The person sees number and unit as they were taken."""
        assert read("1 234,5 mv").printed("V") == "1234.5\N{NO-BREAK SPACE}mV"
        assert read("-1.2e-4").printed("V") == "−1.2 × 10⁻⁴\N{NO-BREAK SPACE}V"
