"""The questions on pack, circuit, charge and safety against worked examples of the trade reference.

Each question is drawn with the values of an example in place of its own ranges. The tag after each source says how far
it is known: read, from memory, common practice, worked out.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from training.content.load import read_content
from training.questions.draw import draw
from training.questions.item import Part
from training.questions.specs import QuestionSpec

ROOT = Path(__file__).parents[2] / "fixtures" / "content"


@cache
def questions() -> dict[str, QuestionSpec]:
    return {question.key: question for question in read_content(ROOT, seeds=0).questions}


def worked(key: str, *, without: str = "", **values: str) -> Part:
    """Return the only part of a question drawn with these values; what is derived is derived from them.

    ``without`` is a mistake that happens to print the same as another answer at these values.
    """
    spec = questions()[key]
    drawn = {given.name for given in spec.givens if not given.computation and given.constant is None}
    assert drawn == set(values), "an example sets every value that is drawn, and no other"
    givens = tuple(
        replace(given, grid=None, choice=(), constant=Decimal(values[given.name])) if given.name in drawn else given
        for given in spec.givens
    )
    told_apart = tuple(
        one for one in spec.parts[0].wrong if one.computation != f"{spec.parts[0].computation}.{without}"
    )
    part = replace(spec.parts[0], wrong=told_apart)
    return draw(replace(spec, givens=givens, parts=(part,)), 1).parts[0]


def wrong(part: Part) -> dict[str, str]:
    """Return what each mistake prints, by its short name."""
    return {one.misconception.removeprefix(f"{part.computation}."): one.shown for one in part.wrong}


class TestPack:
    """Pack: series, meter, resistance, cold."""

    @pytest.mark.parametrize(("readings", "total"), [("13.21 13.18 13.25", "39.64"), ("12.66 12.67 12.67", "38.00")])
    def test_series(self, readings: str, total: str) -> None:
        """Kirchhoff's law, worked out; the label of 36 V is from memory."""
        first, second, third = readings.split()
        part = worked(
            "pack-sum-of-three", without="average", first_battery=first, second_battery=second, third_battery=third
        )
        assert part.shown == total
        assert wrong(part)["highest"] == max(first, second, third)
        assert (wrong(part)["label"], wrong(part)["label_and_three"]) == ("36.00", "39.00")

    def test_cell_at_the_floor(self) -> None:
        """38.0 V over twelve cells is 3.1667 V, worked out."""
        assert worked("volts-of-one-cell", pack_voltage="38.0").value == Fraction("3.16666666667")

    def test_lowest_proving_reading(self) -> None:
        """Guard band equal to U: ILAC-G8:09/2019, read; 0.8 % and 3 digits."""
        part = worked("lowest-reading-that-proves", reading_share="0.8", digits="3")
        assert part.shown == "38.39"
        assert wrong(part) == {"no_guard": "38.00", "unsafe_guard": "37.61", "half_width": "38.33"}

    def test_largest_error_at_the_floor(self) -> None:
        """0.5 % and 2 digits at 38.00 V: 0.21 V, worked out."""
        assert worked("doubt-of-the-meter", reading="38.0", reading_share="0.5", digits="2").shown == "0.21"

    def test_charge_band(self) -> None:
        """39.5 V fits a quarter of the charge at least: public measured curves of one cell, worked out from them."""
        part = worked("least-charge-for-a-reading", rest_voltage="39.50")
        assert part.shown == "25"
        assert wrong(part) == {"of_full": "99", "straight_line": "75", "half": "50"}

    def test_internal_resistance(self) -> None:
        """Two loads: method of IEC 61960-3, read second-hand."""
        part = worked(
            "pack-resistance-two-loads",
            first_voltage="39.96",
            first_current="2",
            second_voltage="39.38",
            second_current="25",
        )
        assert part.shown == "25.2"
        assert wrong(part) == {"ohms_law": "1575.2", "first_ignored": "23.2", "added": "21.5", "third": "8.4"}

    def test_loaded_voltage(self) -> None:
        """39.6 V less 240 A through 20 mohm, worked out."""
        assert worked("volts-during-a-shot", rest_voltage="39.6", current="240", pack_resistance="20").shown == "34.8"

    def test_cold_pack(self) -> None:
        """Ratio 2.597 at -5 degC: public measured data of one cell; printed as 2.6, so 52.0 stands for 51.93 mohm."""
        part = worked("cold-pack-resistance", pack_resistance="20", cell_temperature="-5", air_temperature="-30")
        assert abs(Fraction("51.93") - part.value) < part.tolerance(part.value)
        assert wrong(part) == {"copper_factor": "16.1", "divided": "7.7", "no_change": "20.0"}


class TestCircuit:
    """Circuit: leads and current."""

    def test_lead_drop(self) -> None:
        """25 mm2, 240 A: IEC 60228:2004 class 5, read."""
        part = worked("volts-the-leads-take", area="25", current="240")
        assert part.shown == "3.37"
        assert wrong(part) == {"one_lead": "1.68", "nominal_area": "2.98", "per_kilometre": "3369.60"}

    def test_cold_leads(self) -> None:
        """50 mm2 at -10 degC: IEC 60228:2004 class 5 and IEC 60028:1925, read second-hand."""
        part = worked("leads-in-heat-and-cold", area="50", temperature="-10")
        assert part.shown == "6.13"
        assert {"no_correction": "6.95", "wrong_sign": "7.77", "from_zero": "6.67"}.items() <= wrong(part).items()

    @pytest.mark.parametrize(
        ("size", "total"), [("16", "21.78"), ("25", "14.04"), ("35", "9.97"), ("50", "6.95"), ("70", "4.90")]
    )
    def test_two_leads(self, size: str, total: str) -> None:
        """Two leads of 9 m (common practice) by IEC 60228:2004 class 5, read."""
        assert worked("both-leads-at-20", area=size, lead_length="9").shown == total

    def test_factor_back_to_20(self) -> None:
        """Printed 1.064 at 5 degC in IEC 60228:2004, read."""
        assert worked("measured-back-to-20", temperature="5").shown == "1.064"

    def test_copper_gets_better_in_the_cold(self) -> None:
        """0.80 at -30 degC: IEC 60028:1925, read second-hand."""
        part = worked("copper-against-20", temperature="-30")
        assert (part.shown, wrong(part)["wrong_sign"], wrong(part)["none"]) == ("0.80", "1.20", "1.00")

    def test_current(self) -> None:
        """38.6 V over four resistances: Ohm's law, worked out."""
        part = worked(
            "amps-from-a-rested-pack",
            rest_voltage="38.6",
            pack_resistance="25",
            lead_resistance="10",
            earth_resistance="5",
            arc_resistance="120",
        )
        assert part.shown == "241"
        assert wrong(part) == {"label": "225", "no_earth": "249", "arc_only": "322"}

    def test_earth_contact(self) -> None:
        """39.2 V and 240 A with 15 mohm more: Ohm's law, worked out."""
        part = worked("dirty-earth-current", rest_voltage="39.2", current="240", added_resistance="15")
        assert part.shown == "220"
        assert {"milliohm_minus": "225", "no_effect": "240"}.items() <= wrong(part).items()

    def test_loop_behind_240_amperes(self) -> None:
        """39.0 V and 240 A: 162.5 mohm, worked out."""
        assert worked("milliohms-behind-a-shot", rest_voltage="39.0", current="240").shown == "162.5"

    def test_one_volt(self) -> None:
        """240 A at 39.0 V becomes 234 A at 38.0 V, worked out."""
        part = worked("what-one-volt-costs", current="240", rest_voltage="39.0", new_rest_voltage="38.0")
        assert part.shown == "234"

    def test_fresh_charge(self) -> None:
        """39.5 to 40.8 V with an arc of 22 V (assumed): 1.0743 times the current, worked out."""
        part = worked("first-shot-after-charging", current="240", rest_voltage="39.5", new_rest_voltage="40.8")
        assert float(part.value) == pytest.approx(240 * 1.0742857142857143, rel=1e-11)
        assert wrong(part) == {"arc_ignored": "248", "no_effect": "240"}


class TestCharge:
    """Charge, shots and the day."""

    def test_shot_charge(self) -> None:
        """240 A for 1.2 s, worked out."""
        part = worked("charge-of-one-shot", current="240", shot_time="1.2")
        assert part.shown == "0.0800"
        assert wrong(part) == {"ampere_seconds": "288.0000", "per_minute": "4.8000", "no_time": "0.0667"}

    def test_shot_energy(self) -> None:
        """34.2 V, 240 A, 1.75 s: 3.99 Wh, worked out."""
        part = worked("energy-of-one-shot", loaded_voltage="34.2", current="240", shot_time="1.75")
        assert part.shown == "3.99"

    def test_shots_full(self) -> None:
        """14 Ah, 240 A, 1.75 s: 108 at nine tenths, 120 flat out; worked out."""
        part = worked("shots-in-a-full-pack", without="rounded_up", capacity="14", current="240", shot_time="1.75")
        assert (part.shown, wrong(part)["drained"]) == ("108", "120")

    def test_shots_left(self) -> None:
        """15 Ah, 90 %, 1.75 s, 35 fired: 80, rounded down; worked out."""
        part = worked("shots-that-are-left", capacity="15", current="240", shot_time="1.75", fired="35")
        assert part.shown == "80"
        assert wrong(part) == {"drained": "93", "forgot_fired": "115", "rounded_up": "81"}

    def test_charge_time(self) -> None:
        """100 shots of 240 A for 2 s on 2 A; share kept from one measured cell."""
        part = worked("hours-on-the-charger", shots="100", current="240", shot_time="2")
        assert part.shown == "6.7"
        assert wrong(part) == {"ampere_hours": "13.3", "multiplied": "26.7", "minutes": "404.0"}

    def test_two_hours_on_the_charger(self) -> None:
        """2 A for two hours puts back about 34 shots, worked out (33 with one hundredth lost)."""
        assert worked("shots-from-a-break", charging_time="2", current="240", shot_time="1.75").shown == "33"

    def test_mean_shots(self) -> None:
        """150 bonds with 6 % repeats: 160 shots on average; worked out."""
        assert worked("shots-with-repeats", bonds="150", repeat_share="6").shown == "159.6"

    def test_packs(self) -> None:
        """220 bonds, 6 %, 100 a charge: 3, rounded up; worked out."""
        part = worked("packs-for-a-day", bonds="220", repeat_share="6", shots_per_charge="100")
        assert part.shown == "3"
        assert wrong(part) == {"rounded_down": "2", "spare": "4"}


class TestSafety:
    """Eyes, cold, hot work, lifting, noise, vibration."""

    def test_shade_ratio(self) -> None:
        """Shade 5 for 10: definition of the shade number, read."""
        part = worked("light-through-a-lighter-shade", lighter_shade="5", darker_shade="10")
        assert part.shown == "138.9"
        assert wrong(part) == {"numbers": "2.0", "doubling": "32.0", "decades": "100000.0"}

    @pytest.mark.parametrize(("current", "least", "comfort"), [("240", "10", "12"), ("260", "11", "14")])
    def test_shades(self, current: str, least: str, comfort: str) -> None:
        """29 CFR 1910.133(a)(5) and ANSI Z49.1:2012, read in copies; torch brazing 3."""
        part = worked("least-shade-by-current", current=current)
        assert (part.shown, wrong(part)["torch"]) == (least, "3")
        assert worked("shade-that-is-easy-on-the-eye", current=current).shown == comfort

    @pytest.mark.parametrize(
        ("air", "wind", "chill"), [("-25", "20", "-37"), ("-30", "20", "-43"), ("-20", "30", "-33")]
    )
    def test_wind_chill(self, air: str, wind: str, chill: str) -> None:
        """Canadian chart of 2001, read."""
        part = worked("wind-chill-on-skin", temperature=air, wind=wind)
        assert (part.shown, wrong(part)["air"]) == (chill, air)

    def test_wind_chill_mistakes(self) -> None:
        """-25 degC and 20 km/h: half the wind taken off, m/s in the km/h formula; worked out."""
        part = worked("wind-chill-on-skin", temperature="-25", wind="20")
        assert wrong(part) == {"half_wind": "-35", "metres": "-30", "air": "-25"}

    def test_wind_chill_in_fahrenheit(self) -> None:
        """0 degF and 15 mph: -19 in the chart of the United States weather service, read and set right."""
        assert worked("wind-chill-in-fahrenheit", temperature="0", wind="15").shown == "-19"

    def test_pack_stops_at_air_temperature(self) -> None:
        """United States weather service, text to its chart, read."""
        part = worked("pack-in-the-wind", temperature="-30", wind="20")
        assert (part.shown, wrong(part)["index"]) == ("-30", "-43")

    def test_fire_watch(self) -> None:
        """Last shot 15:40, one hour (NFPA 51B of 2019, from memory): 16:40; 16:10 by half an hour (read)."""
        part = worked("when-the-watch-may-leave", last_shot="40", site_watch="60")
        assert part.shown == "100"
        assert {"half_hour": "70", "at_once": "40"}.items() <= wrong(part).items()

    def test_clear_distance(self) -> None:
        """35 ft is 10.668 m: 29 CFR 1910.252(a)(2), read in a state's copy."""
        part = worked("how-much-farther-it-must-go", distance="4.0")
        assert float(part.value) == pytest.approx(6.668, rel=1e-9)

    def test_lifting_index(self) -> None:
        """16 kg, H 35, V 50, D 35 cm, 8 h, fair grip: NIOSH 94-110, read."""
        part = worked(
            "lifting-index-of-a-pack", load="16", horizontal="35", vertical="50", travel="35", lifts_per_minute="0.2"
        )
        assert part.shown == "1.37"
        assert wrong(part) == {"constant": "0.70", "upside_down": "0.73", "one_hour": "1.17"}

    def test_lifting_limit(self) -> None:
        """H 35, V 30, D 55 cm, twist 30 degrees, 8 h, fair grip: 9.355 kg, NIOSH 94-110, read."""
        part = worked(
            "limit-for-a-lift", horizontal="35", vertical="30", travel="55", asymmetry="30", lifts_per_minute="0.2"
        )
        assert float(part.value) == pytest.approx(9.35504446961039, rel=1e-9)

    def test_noise_dose(self) -> None:
        """102 dBA for 0.25 h and 92 dBA for 3 h: 29 CFR 1910.95, read; NIOSH 98-126, read second-hand."""
        day = {"first_level": "102", "first_time": "0.25", "second_level": "92", "second_time": "3"}
        part = worked("dose-of-a-day-by-law", **day)
        assert part.shown == "66"
        assert wrong(part) == {"niosh": "348", "time_only": "41", "averaged": "60"}
        assert worked("dose-of-a-day-careful", **day).shown == "348"

    def test_half_a_dose_is_the_action_level(self) -> None:
        """50 % is 85 dBA: 29 CFR 1910.95, read."""
        assert worked("average-level-of-a-day", dose="50").shown == "85.0"

    def test_vibration(self) -> None:
        """4.5 m/s2 for 45 min: ISO 5349-1:2001 as cited in 2002/44/EC, read."""
        part = worked("vibration-of-a-day", magnitude="4.5", trigger_time="45")
        assert part.shown == "1.38"
        assert wrong(part) == {"linear": "0.42", "not_referred": "4.50", "one_hour": "3.90"}

    def test_vibration_points_and_times(self) -> None:
        """7 m/s2: 33 points in 20 min, 61 min to action, 245 min to the limit; 2002/44/EC, read."""
        assert worked("vibration-points", magnitude="7", trigger_time="20").shown == "33"
        assert worked("minutes-until-action", magnitude="7").shown == "61"
        assert worked("minutes-until-the-limit", magnitude="7").shown == "245"

    def test_vibration_of_two_tools(self) -> None:
        """7 m/s2 for 20 min with 4 m/s2 for an hour: 2.0104, worked out by the same rule."""
        part = worked(
            "vibration-of-two-tools", first_magnitude="7", first_time="20", second_magnitude="4", second_time="60"
        )
        assert float(part.value) == pytest.approx(2.0103896803024695, rel=1e-9)
