"""One shot against worked values.

The values come from Ohm's law, IEC 60228:2004 class 5 leads and IEC 60028:1925 copper (both read second hand), public
test data of one LFP cell, Onderdonk's formula, and JCGM 100:2008 (from memory); the arc of 22 V is common practice.
"""

from dataclasses import replace

import pytest

from training.calc import cells, circuit, fuse, leads, pack
from training.calc.pack import Verdict
from training.calc.ranges import OutOfRange
from training.trials import rules
from training.trials.rules import START, Model

LEADS = 0.554e-3 * 18  # two leads of 9 m, 35 mm2
# 240 A at 39.0 V by both models: 0.1625 ohm with the arc, 0.0708333 ohm without.
RATED = replace(START, other_resistance=17 / 240 - 0.020 - LEADS - 0.005, arc_resistance=22 / 240)
# The rest of the loop is 40.86 mohm, the copper at -30 degC.
COLD = replace(START, other_resistance=0.03586, air_temperature=-30.0)


def both(**changes: float | bool) -> tuple[float, float]:
    """Currents of both models, with something changed from 240 A."""
    a, b = (rules.current(replace(RATED, **changes), model) for model in Model)
    return a, b


class TestCurrent:
    def test_of_the_rated_loop(self) -> None:
        """240 A either way."""
        assert both() == pytest.approx((240.0, 240.0), rel=1e-12)

    @pytest.mark.parametrize("model", list(Model))
    def test_of_the_starting_values(self, model: Model) -> None:
        """As near 240 A as values that a person can type come."""
        assert rules.current(START, model) == pytest.approx(240.0, abs=0.05)

    @pytest.mark.parametrize(
        ("changes", "a", "b"),
        [
            ({"leads": False}, 255.6907584181265, 279.32348946238443),
            ({"earth_resistance": 0.025}, 213.6986301369863, 187.1559633027523),
            ({"rest_voltage": 38.0}, 233.84615384615384, 225.88235294117646),
        ],
    )
    def test_after_one_change(self, changes: dict[str, float | bool], a: float, b: float) -> None:
        """Leads off, a dirty earth, a lower pack: worked by hand from Ohm's law."""
        assert both(**changes) == pytest.approx((a, b), rel=1e-12)

    def test_of_a_fresh_pack(self) -> None:
        """40.8 V instead of 39.5 V: the ratio is that of the driving voltages."""
        old, fresh = both(rest_voltage=39.5), both(rest_voltage=40.8)
        assert fresh[0] / old[0] == pytest.approx(40.8 / 39.5, rel=1e-12)
        assert fresh[1] / old[1] == pytest.approx(18.8 / 17.5, rel=1e-12)

    @pytest.mark.parametrize(
        ("cell", "with_leads", "without"),
        [(20, 246.8, 279.3), (5, 211.1, 234.4), (-5, 168.6, 183.2), (-15, 110.5, 116.6), (-25, 63.8, 65.7)],
    )
    def test_on_a_cold_day(self, cell: float, with_leads: float, without: float) -> None:
        """20 mohm pack, leads at -30 degC, arc of 22 V: worked values, one decimal."""
        there = replace(COLD, cell_temperature=float(cell))
        assert rules.current(there, Model.B) == pytest.approx(with_leads, abs=0.05)
        assert rules.current(replace(there, leads=False), Model.B) == pytest.approx(without, abs=0.05)

    def test_is_none_where_the_arc_takes_it_all(self) -> None:
        """Nothing is left to drive a current, and the other figures say why they are missing."""
        found = rules.outcome(replace(START, rest_voltage=24.0, arc_voltage=30.0), Model.B)
        assert (found.current, found.shot) == (0.0, None)
        assert "from" in found.outside


class TestLoop:
    def test_parts_add_up(self) -> None:
        """The whole loop by Kirchhoff."""
        loop = rules.loop(START)
        assert loop.whole == pytest.approx(loop.pack + loop.leads + loop.earth + loop.other + loop.arc, rel=1e-12)
        assert loop.leads == pytest.approx(LEADS, rel=1e-12)

    def test_leads_taken_off_have_no_resistance(self) -> None:
        """They are not in the circuit."""
        assert rules.loop(replace(START, leads=False)).leads == 0

    def test_cold_grows_the_pack_and_shrinks_the_leads(self) -> None:
        """x10.887 at -25 degC cells (public cell data), x0.8035 at -30 degC copper (IEC 60028:1925)."""
        loop = rules.loop(replace(COLD, cell_temperature=-25.0))
        assert loop.pack == pytest.approx(0.020 * 10.886682224768816, rel=1e-9)
        assert loop.leads == pytest.approx(0.008012502, rel=1e-6)

    @pytest.mark.parametrize("model", list(Model))
    def test_volts_add_up_to_the_rest_voltage(self, model: Model) -> None:
        """Kirchhoff's voltage law, by either model."""
        shot = rules.outcome(replace(COLD, cell_temperature=-15.0), model).shot
        assert shot is not None
        assert sum(shot.drops) == pytest.approx(39.0, rel=1e-12)


class TestShot:
    def test_takes_charge_and_energy(self) -> None:
        """240 A for 1.75 s: 420 A s, 14364 J at 34.2 V loaded; 14 Ah give 108 shots at nine tenths."""
        shot = rules.outcome(RATED, Model.A).shot
        assert shot is not None
        assert shot.charge == pytest.approx(420.0, rel=1e-12)
        assert shot.loaded_voltage == pytest.approx(34.2, rel=1e-12)
        assert shot.energy == pytest.approx(14364.0, rel=1e-12)
        assert (shot.full, shot.left) == (108, 108)

    def test_shots_left_follow_those_fired(self) -> None:
        """15 Ah, nine tenths, 240 A for 1.75 s, 35 fired: 80 left."""
        shot = rules.outcome(replace(RATED, capacity=15 * 3600.0, fired=35), Model.A).shot
        assert shot is not None
        assert shot.left == 80

    @pytest.mark.parametrize(
        ("air", "current", "time"),
        [
            (25.0, 240.0, 1.4472033258983268),
            (25.0, 200.0, 2.0839727892935906),
            (25.0, 180.0, 2.572805912708137),
            (-30.0, 240.0, 1.659625747924101),
        ],
    )
    def test_burns_its_wire(self, air: float, current: float, time: float) -> None:
        """1.00 mm2 of copper by Onderdonk's formula; the heat of fusion comes on top."""
        found = rules.burn_point(replace(START, wire_area=1e-6, air_temperature=air), current)
        assert found.begins == pytest.approx(time, rel=1e-9)
        assert found.through > found.begins

    def test_names_the_copper_that_melts_in_the_burn_time(self) -> None:
        """240 A, 25 degC, 1.75 s: 1.0996494 mm2 by Onderdonk, 1.1021244 mm2 by the IEC 60949 form."""
        found = rules.outcome(replace(RATED, air_temperature=25.0), Model.A)
        assert found.shot is not None
        assert found.shot.area * 240 / found.current == pytest.approx(1.099649417167602e-6, rel=1e-9)
        assert found.shot.adiabatic_area * 240 / found.current == pytest.approx(1.1021243946670976e-6, rel=1e-9)
        assert found.shot.burn == rules.burn_point(replace(RATED, air_temperature=25.0), found.current)

    def test_heats_a_dirty_earth(self) -> None:
        """213.7 A through 25 mohm: 1142 W, of which 20 mohm more give 913 W (Joule's law)."""
        shot = rules.outcome(replace(RATED, earth_resistance=0.025), Model.A).shot
        assert shot is not None
        assert shot.earth_heat * 20 / 25 == pytest.approx(913.3420904484894, rel=1e-9)

    def test_knows_the_current_that_never_melts_the_wire(self) -> None:
        """1.10 mm wire: 92.32 A (Preece, copper)."""
        wire = replace(START, wire_area=3.14159265358979 / 4 * 0.0011**2)
        assert rules.never_melts(wire) == pytest.approx(92.3225991427231, rel=1e-9)
        cold = rules.outcome(replace(wire, cell_temperature=-25.0), Model.B).shot
        assert cold is not None
        assert not cold.melts

    def test_is_left_out_beyond_what_holds(self) -> None:
        """A loop of almost nothing: the current is said, the rest is not."""
        found = rules.outcome(
            replace(START, pack_resistance=0.001, leads=False, other_resistance=0.0, arc_resistance=0.01), Model.A
        )
        assert found.shot is None
        assert found.current > 1000
        assert "400" in found.outside

    def test_against_rated(self) -> None:
        """The working minimum costs (240/200) squared in time."""
        assert rules.against_rated(200.0) == pytest.approx(1.44, rel=1e-12)


class TestProof:
    """Floor 38.00 V, meter of 0.5 % and 2 digits of 0.01 V: u 0.12124, U 0.24249 V."""

    @pytest.mark.parametrize(
        ("reading", "verdict", "probability"),
        [
            (38.15, Verdict.UNPROVEN, 0.8919897095222684),
            (38.20, Verdict.UNPROVEN, 0.9504847673518503),
            (38.25, Verdict.GO, 0.9803944776132002),
            (38.00, Verdict.UNPROVEN, 0.5),
        ],
    )
    def test_judges_a_reading(self, reading: float, verdict: Verdict, probability: float) -> None:
        """Guard band equal to U (ILAC-G8:09/2019), flat prior (JCGM 106:2012, from memory)."""
        proof = rules.proof(replace(START, rest_voltage=reading))
        assert proof.judgement.verdict is verdict
        assert proof.judgement.probability == pytest.approx(probability, rel=1e-9)
        assert proof.guard == pytest.approx(0.24248711305964282, rel=1e-12)
        assert proof.go_from - 38 == pytest.approx(proof.guard)
        assert 38 - proof.no_go_below == pytest.approx(proof.guard)

    def test_refuses_a_pack_below(self) -> None:
        """37.7 V is below the floor less the guard."""
        assert rules.proof(replace(START, rest_voltage=37.7)).judgement.verdict is Verdict.NO_GO

    def test_says_what_charge_fits(self) -> None:
        """39.5 V and a meter out by 0.21 V (0.5 % of 39.5 V and 2 digits: 0.2175 V): roughly .21 to .69."""
        band = rules.proof(replace(START, rest_voltage=39.5)).charge
        assert band is not None
        assert band.low == pytest.approx(0.211, abs=0.005)
        assert band.high == pytest.approx(0.693, abs=0.01)

    def test_says_nothing_of_charge_beyond_the_data(self) -> None:
        """A pack fresh off the charger reads above the curve."""
        assert rules.proof(replace(START, rest_voltage=42.0)).charge is None

    def test_wants_a_meter_with_an_error(self) -> None:
        """Nothing is read without one."""
        with pytest.raises(OutOfRange):
            rules.proof(replace(START, meter_share=0.0, meter_digits=0))


class TestBreakEven:
    def test_of_the_starting_pack(self) -> None:
        """9.972 mohm of leads off a 20 mohm pack: 6.54 degC."""
        assert rules.break_even(START) == pytest.approx(6.5396678147114615, rel=1e-9)

    def test_lies_past_the_data(self) -> None:
        """Thin leads on a very stiff pack pay at every temperature of the table."""
        assert rules.break_even(replace(START, pack_resistance=0.001, lead_area=10e-6)) is None


class TestCurves:
    def test_cold_curve_is_the_functions(self) -> None:
        """Every point again from the computations themselves."""
        points = list(rules.cold_curve(COLD))
        assert [point.cell for point in points] == list(range(-25, 36, 5))
        both_leads = leads.resistance_at(leads.class5(35e-6), 9, -30)
        for point in points:
            cold = pack.cold_resistance(0.020, cells.cold_ratio(point.cell, 20))
            assert point.a == circuit.current(39.0, cold, both_leads, 0.005 + 0.03586, COLD.arc_resistance)
            assert point.b == circuit.current_arc_voltage(39.0, 22.0, cold, both_leads, 0.005 + 0.03586)

    def test_burn_curve_is_the_functions(self) -> None:
        """Every point again from the computations themselves."""
        points = list(rules.burn_curve(START))
        assert [point.current for point in points] == list(range(100, 341, 20))
        for point in points:
            assert point.begins == fuse.onderdonk_time(point.current, 1.1e-6, 20)
            assert point.through == fuse.melt_through_time(point.current, 1.1e-6, 20)
