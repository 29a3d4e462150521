"""What people type about a situation."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.trials import queries
from training.trials.forms import TrialForm
from training.trials.rules import START


def refusal(name: str, typed: str) -> str:
    """The one sentence beside a field."""
    form = TrialForm({name: typed})
    assert form.setting() == START
    assert list(form.errors) == [name]
    (sentence,) = form.errors[name]
    return str(sentence).replace("\u00a0", " ")


class TestStart:
    def test_is_what_an_empty_address_gives(self) -> None:
        """Every field begins with its starting value, and they are all good."""
        form = TrialForm({})
        assert form.setting() == START
        assert form.errors == {}

    def test_stands_in_every_field(self) -> None:
        """What is printed into the fields reads back as the same situation."""
        form = TrialForm({name: TrialForm({})[name].value() for name in TrialForm.base_fields})
        assert form.setting() == START

    def test_fields_and_groups_are_the_same(self) -> None:
        """No field is left off the page."""
        assert [field.name for _says, fields in TrialForm({}).groups() for field in fields] == list(
            TrialForm.base_fields
        )


class TestReading:
    @pytest.mark.parametrize(
        ("name", "typed", "value"),
        [
            ("rest_voltage", "38,5", 38.5),
            ("rest_voltage", "38500 mV", 38.5),
            ("cell_temperature", "−12,5 °C", -12.5),
            ("cell_temperature", "5 F", -15.0),
            ("cell_temperature", "263.15 K", -10.0),
            ("air_temperature", "\u201330", -30.0),
            ("pack_resistance", "0,025 ohm", 0.025),
            ("earth_resistance", "25 milliohms", 0.025),
            ("capacity", "15 Ah", 54000.0),
            ("capacity", "57600 C", 57600.0),
            ("wire_area", "1.0 mm²", 1e-6),
            ("meter_share", "0.8 %", 0.008),
            ("meter_share", "0,8", 0.008),
            ("meter_digits", "3", 3),
            ("fired", "35 shots", 35),
            ("burn_time", "1500 ms", 1.5),
            ("leads", "off", False),
            ("lead_area", "50", 50e-6),
        ],
    )
    def test_takes_what_people_write(self, name: str, typed: str, value: float) -> None:
        """Comma or point, any minus, any unit of the kind."""
        form = TrialForm({name: typed})
        assert form.setting() == replace(START, **{name: pytest.approx(value)})
        assert form.errors == {}

    @pytest.mark.parametrize(
        ("name", "typed", "sentence"),
        [
            ("rest_voltage", "", "Give a number from 24 to 45 V. The starting value is used instead: 39 V."),
            ("rest_voltage", "full", "Give a number from 24 to 45 V. The starting value is used instead: 39 V."),
            ("rest_voltage", "39 A", "Give a number from 24 to 45 V. The starting value is used instead: 39 V."),
            ("rest_voltage", "46", "Give a number from 24 to 45 V. The starting value is used instead: 39 V."),
            ("cell_temperature", "-26", "Give a number from −25 to 45 °C. The starting value is used instead: 20 °C."),
            ("fired", "3.5", "Give a whole number from 0 to 1000. The starting value is used instead: 0 shots."),
            ("leads", "half", "Choose one in the list. The starting value is used instead: Both in the circuit."),
            ("lead_area", "36", "Choose one in the list. The starting value is used instead: 35 mm²."),
        ],
    )
    def test_says_what_to_write_instead(self, name: str, typed: str, sentence: str) -> None:
        """One sentence beside the field, with the value that stands in."""
        assert refusal(name, typed) == sentence

    def test_says_what_is_unclear_about_digits(self) -> None:
        """The reader's own sentence comes first."""
        assert refusal("rest_voltage", "1,234 V").startswith("1,234 can mean 1234 or 1.234.")

    def test_keeps_what_was_typed(self) -> None:
        """Also what is not in the list."""
        form = TrialForm({"rest_voltage": "full", "lead_area": "36"})
        assert form["rest_voltage"].value() == "full"
        assert '<option value="36" selected>36</option>' in str(form["lead_area"])

    def test_refuses_a_meter_without_error(self) -> None:
        """Neither part of the reading nor digits."""
        form = TrialForm({"meter_share": "0", "meter_digits": "0"})
        assert form.setting().meter_share == START.meter_share
        assert list(form.errors) == ["meter_share"]

    def test_uses_the_rest(self) -> None:
        """One bad value does not cost the others."""
        form = TrialForm({"rest_voltage": "full", "earth_resistance": "25"})
        assert form.setting() == replace(START, earth_resistance=0.025)


TYPED = st.text(max_size=90) | st.floats(allow_nan=True).map(str) | st.sampled_from(["", "0", "\ud800", "1e30", "on"])


class TestHostile:
    @given(st.dictionaries(st.sampled_from(sorted(TrialForm.base_fields)), TYPED))
    def test_anything_gives_a_page(self, sent: dict[str, str]) -> None:
        """Whatever is typed, a situation comes out and can be worked out, and the page can be sent."""
        form = TrialForm(sent)
        page = queries.page(form.setting(), refused=form.errors)
        assert page.a
        assert page.b
        str(form).encode()
