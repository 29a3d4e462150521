"""Units as people type them."""

import pytest

from training.questions.spellings import UnclearUnit, read_unit
from training.questions.units import UnknownUnit


class TestReadUnit:
    @pytest.mark.parametrize(
        ("typed", "spelling"),
        [
            ("mOhm", "mohm"),
            ("Mohm", "Mohm"),
            ("KV", "kV"),
            ("mv", "mV"),
            ("volts", "V"),
            ("milliohms", "mohm"),
            ("milli-ohm", "mohm"),
            ("micro ohms", "uohm"),
            ("ohms per km", "ohm*km-1"),
            ("sq mm", "mm2"),
            ("square metres", "m2"),
            ("mm^2", "mm2"),
            ("per cent", "%"),
            ("A h", "A*h"),
            ("dB(A)", "dBA"),
            ("deg C", "degC"),
            ("degrees Fahrenheit", "degF"),
            ("celsius", "degC"),
            ("hrs", "h"),
            ("1/K", "1*K-1"),
            ("J / (kg * K)", "J*kg-1*K-1"),
            ("Shots", "shots"),
        ],
    )
    def test_knows_words_capitals_and_degree_signs(self, typed: str, spelling: str) -> None:
        """A glove on a telephone writes all of these."""
        assert read_unit(typed) == spelling

    @pytest.mark.parametrize(("like", "spelling"), [("degC", "degC"), ("K", "degC"), ("C", "C"), ("V", "C")])
    def test_takes_a_bare_c_by_what_was_asked(self, like: str, spelling: str) -> None:
        """C is Celsius beside a temperature and coulomb elsewhere."""
        assert read_unit("C", like=like) == spelling

    def test_takes_a_bare_f_as_fahrenheit_beside_a_temperature_only(self) -> None:
        """There is no farad in the list."""
        assert read_unit("f", like="degC") == "degF"
        with pytest.raises(UnknownUnit):
            read_unit("f", like="V")

    @pytest.mark.parametrize("typed", ["MOHM", "MOhm", "Mv", "Ma"])
    def test_refuses_what_may_be_milli_or_mega(self, typed: str) -> None:
        """A factor of a thousand million is not guessed."""
        with pytest.raises(UnclearUnit) as caught:
            read_unit(typed)
        assert len(caught.value.meanings) == 2

    @pytest.mark.parametrize("typed", ["furlong", "V 2", "1", "1*1", "V*1", "kilovolts/", "centiamp", "x"])
    def test_refuses_what_it_does_not_know(self, typed: str) -> None:
        """A stray digit is not a unit."""
        with pytest.raises(UnknownUnit):
            read_unit(typed)
