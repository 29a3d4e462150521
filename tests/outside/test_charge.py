"""Charge and energy against worked values and pint."""

import pint
import pytest

from training.calc import charge
from training.calc.catalogue import compute

AH = 3600.0
SHOT = {"current": 240.0, "shot_time": 1.75}


class TestShot:
    """240 A for 1.75 s, worked by hand."""

    def test_charge_in_ampere_hours(self) -> None:
        """420 A s, turned into Ah by pint."""
        found = charge.shot_charge(240, 1.75)
        assert found == 420.0
        hours = pint.UnitRegistry().Quantity(found, "ampere * second").to("ampere_hour").magnitude
        assert hours == pytest.approx(0.11666666666666667, rel=1e-12)

    def test_energy(self) -> None:
        """34.2 V under load: 14364 J, 3.99 Wh by pint."""
        found = charge.shot_energy(34.2, 240, 1.75)
        assert found == pytest.approx(14364.0, rel=1e-12)
        hours = pint.UnitRegistry().Quantity(found, "joule").to("watt_hour").magnitude
        assert hours == pytest.approx(3.99, rel=1e-12)

    def test_full_pack(self) -> None:
        """14 Ah holds 120 shots flat out, 108 at 90 per cent."""
        assert charge.shots_full(14 * AH, 1.0, 240, 1.75) == 120
        assert charge.shots_full(14 * AH, 0.9, 240, 1.75) == 108

    @pytest.mark.parametrize(("shots", "hours"), [(30, 1.7676767676767677), (120, 7.070707070707071)])
    def test_charge_time(self, shots: int, hours: float) -> None:
        """2 A at 99 per cent (coulombic efficiency measured 0.996 at 25 degC, derived)."""
        assert charge.charge_time(shots, 240, 1.75, 2, 0.99) / AH == pytest.approx(hours, rel=1e-12)

    def test_two_hours_on_the_charger(self) -> None:
        """2 A for two hours puts 4 Ah back: 34 whole shots."""
        assert charge.shots_restored(2 * AH, 2, 1.0, 240, 1.75) == 34

    @pytest.mark.parametrize(("shots", "seconds", "hours"), [(100, 1.5, 10.0), (120, 2.0, 16.0)])
    def test_trade_facts_agree(self, shots: int, seconds: float, hours: float) -> None:
        """100 to 120 shots of 1.5 to 2 s (common practice) need 10 to 16 Ah at 240 A."""
        assert shots * charge.shot_charge(240, seconds) / AH == pytest.approx(hours, rel=1e-12)


class TestWrongAnswers:
    """The examples of the charge questions, worked by hand."""

    def test_shot_charge(self) -> None:
        """240 A for 1.2 s, in Ah."""
        values = {"current": 240.0, "shot_time": 1.2}
        assert compute("charge.shot_charge", values) / AH == pytest.approx(0.0800, rel=1e-12)
        assert compute("charge.shot_charge.ampere_seconds", values) / AH == pytest.approx(288)
        assert compute("charge.shot_charge.per_minute", values) / AH == pytest.approx(4.8)
        assert compute("charge.shot_charge.no_time", {"current": 240.0}) / AH == pytest.approx(0.0667, abs=5e-5)

    def test_shots_left(self) -> None:
        """15 Ah, 90 per cent usable, 1.75 s, 35 fired."""
        values = {"capacity": 15 * AH, "usable_share": 0.9, "fired": 35.0} | SHOT
        key = "charge.shots_left"
        no_share = {name: value for name, value in values.items() if name != "usable_share"}
        no_fired = {name: value for name, value in values.items() if name != "fired"}
        assert compute(key, values) == 80
        assert compute(f"{key}.drained", no_share) == 93
        assert compute(f"{key}.forgot_fired", no_fired) == 115
        assert compute(f"{key}.rounded_up", values) == 81

    def test_charge_time(self) -> None:
        """100 shots of 2 s at 240 A, 2 A charger, 99 per cent, in hours."""
        values = {"shots": 100.0, "current": 240.0, "shot_time": 2.0}
        charger = values | {"charger_current": 2.0}
        key = "charge.charge_time"
        assert compute(key, charger | {"efficiency": 0.99}) / AH == pytest.approx(6.7, abs=0.05)
        assert compute(f"{key}.ampere_hours", values) / AH == pytest.approx(13.3, abs=0.05)
        assert compute(f"{key}.multiplied", charger) / AH == pytest.approx(26.7, abs=0.05)
        assert compute(f"{key}.minutes", charger | {"efficiency": 0.99}) / AH == pytest.approx(404, abs=0.5)
