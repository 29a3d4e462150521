"""Shipped questions on firing and repair, given the values of worked examples, print their answers and wrong answers.

Sources, each checked by hand or by a second route when it was worked out:
currents, energies and shares: Ohm's, Kirchhoff's and Joule's laws, computed; the resistances, the arc's 22 V and the
length of a burn are assumed values;
fuse wire: Onderdonk's formula (Stauffacher, General Electric Review 1928) and Preece's, read in public copies;
rails: EN 13674-1:2011 areas, read in an open structural library (49E1 from memory), 0.22 uohm m from public models of
track circuits; cables: IEC 60228:2004 class 5, read in public copies;
contact spot: Holm, Electric Contacts, from memory; metals of the pin from memory;
four wires: reversal, by hand; 13 uV/K for copper against iron from memory; 5 per cent of a rail length: EN 50122-2,
from memory;
steel: EN 1993-1-2:2005, 3.4.1.2, read in public copies; Andrews 1965, from memory; silver alloys: a dealer's list,
read, with designations of ISO 17672 from memory;
evidence: Clopper and Pearson 1934 and the binomial distribution, computed, and here again from scipy.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from scipy import stats

from training.content.load import read_content
from training.questions.draw import draw
from training.questions.item import Part
from training.questions.specs import GivenSpec, QuestionSpec

ROOT = Path(__file__).parents[2] / "fixtures" / "content"


@cache
def questions() -> dict[str, QuestionSpec]:
    return {question.key: question for question in read_content(ROOT, seeds=1).questions}


def fixed(given: GivenSpec, values: dict[str, str]) -> GivenSpec:
    """The given held at the example's value; one worked out from others stays worked out."""
    if given.name not in values:
        return given
    return replace(given, grid=None, choice=(), constant=Decimal(values[given.name]))


def parts(key: str, values: str) -> tuple[Part, ...]:
    """The question's parts for ``name=value`` pairs, which must name every given that is not a constant."""
    question = questions()[key]
    pairs = dict(pair.split("=") for pair in values.split())
    free = {given.name for given in question.givens if given.constant is None and not given.computation}
    assert free <= set(pairs) <= {given.name for given in question.givens}
    return draw(replace(question, givens=tuple(fixed(given, pairs) for given in question.givens)), 1).parts


def rounded(text: str, printed: str) -> str:
    """``text`` with the digits of ``printed``, half away from zero, as a source with fewer digits has it."""
    decimals = len(printed.partition(".")[2])
    value = Fraction(text) * 10**decimals
    whole = int(abs(value) + Fraction(1, 2)) * (-1 if value < 0 else 1)
    return f"{Decimal(whole).scaleb(-decimals):f}"


ANSWERS = [
    # a shot's current and heat
    ("current-of-a-shot", "rest_voltage=38.6 pack_resistance=25 lead_resistance=10 earth_resistance=5"
     " arc_resistance=120", "241", "label=225 no_earth=249 arc_only=322"),
    ("current-with-dirty-earth", "current=240 rest_voltage=39.2 added_resistance=15", "220",
     "milliohm_minus=225 no_effect=240"),
    ("stub-on-the-inner-contact", "current=240 rest_voltage=39.2 added_resistance=15", "220",
     "milliohm_minus=225 no_effect=240"),
    ("current-with-dirty-earth", "current=240 rest_voltage=39.0 added_resistance=20", "214", "milliohm_minus=220"),
    ("dirty-earth-arc-as-voltage", "current=240 rest_voltage=39.0 arc_voltage=22 added_resistance=20", "187",
     "arc_ignored=214 no_effect=240"),
    ("current-from-lower-pack", "current=240 rest_voltage=39.0 new_rest_voltage=38.0", "234", "no_effect=240"),
    ("hot-off-the-charger", "current=240 rest_voltage=39.0 new_rest_voltage=38.0 arc_voltage=22", "226",
     "arc_ignored=234"),
    ("hot-off-the-charger", "current=1000 rest_voltage=39.5 new_rest_voltage=40.8 arc_voltage=22", "1074",
     "arc_ignored=1033"),
    ("loop-behind-a-current", "current=240 rest_voltage=39.0", "163", "label=150"),
    ("where-the-volts-go", "current=240 rest_voltage=39.0 arc_voltage=22", "70.8", "arc_ignored=162.5"),
    ("heat-in-a-worn-contact", "current=213.6986301369863 resistance=20", "913", "halved=457 not_squared=4"),
    ("energy-out-of-the-pack", "loaded_voltage=34.2 current=240 shot_time=1.75", "3.99", "no_time=2.28"),
    ("energy-of-the-arc", "current=240 arc_voltage=22 shot_time=1.75", "9.24", "no_time=5.28 no_voltage=0.42"),
    ("share-of-arc-heat-in-the-pin", "whole_energy=9.24 part_energy=2.958", "32", "rest=68"),
    # fuse wire
    ("wire-area-for-a-burn", "current=260 time=1", "0.90", "preece=3.78 circular_mils=1777 rule_of_thumb=2.60"),
    ("wire-area-for-a-burn", "current=240 time=1", "0.83", "preece=3.40"),
    ("wire-area-root-of-time", "current=240 time=1.5", "1.02", "time_not_rooted=1.25"),
    ("wire-area-root-of-time", "current=240 time=1.75", "1.10", ""),
    ("wire-area-root-of-time", "current=240 time=2", "1.18", "time_not_rooted=1.66"),
    ("burn-of-a-cold-wire", "area=1.00 ambient=25 current=240", "1.45", ""),
    ("burn-of-a-cold-wire", "area=1.00 ambient=25 current=200", "2.08", ""),
    ("burn-of-a-cold-wire", "area=1.00 ambient=25 current=180", "2.57", ""),
    ("burn-of-a-cold-wire", "area=1.00 ambient=-30 current=240", "1.66", ""),
    ("time-to-melt-right-through", "area=1.00 current=240", "1.80", "to_melting=1.45"),
    ("burn-at-weak-current", "time=1.2 current=240 new_current=190", "1.91",
     "linear=1.52 upside_down=0.75 no_change=1.20"),
    ("burn-that-runs-away", "minimum_current=92.3226 time_constant=9.36672 current=200", "2.2", ""),
    ("burn-that-runs-away", "minimum_current=92.3226 time_constant=9.36672 current=150", "4.5", ""),
    ("burn-that-runs-away", "minimum_current=92.3226 time_constant=9.36672 current=100", "17.9", ""),
    ("wire-in-the-calliper", "area=1.099649417167602", "1.18", ""),
    # pin, rail and bond
    ("area-of-a-pin", "diameter=6", "28.3", "radius=113.1 circumference=18.8 square=36.0"),
    ("area-of-a-pin", "diameter=8", "50.3", ""),
    ("pin-on-the-scale", "diameter=8 length=20", "7.89", ""),
    ("resistance-of-a-metre-of-rail", "rail_area=6292 resistivity=0.22", "35.0", "copper=2.7"),
    ("resistance-of-a-metre-of-rail", "rail_area=6977 resistivity=0.22", "31.5", ""),
    ("resistance-of-a-metre-of-rail", "rail_area=7670 resistivity=0.22", "28.7", ""),
    ("resistance-of-a-metre-of-rail", "rail_area=7670 resistivity=0.17", "22.2", ""),
    ("resistance-of-a-metre-of-rail", "rail_area=7670 resistivity=0.27", "35.2", ""),
    ("resistance-of-a-metre-of-rail", "rail_area=8590 resistivity=0.22", "25.6", ""),
    ("bond-as-metres-of-rail", "bond_resistance=200 rail_area=7670", "6.97",
     "multiplied=5.74 copper=88.97 centimetres=0.70"),
    ("bond-as-metres-of-rail", "bond_resistance=206 rail_area=7670", "7.18", ""),
    ("bond-as-metres-of-rail", "bond_resistance=145.8 rail_area=7670", "5.08", ""),
    ("resistance-of-a-bond", "length=0.3 resistance_per_metre=0.386 joint_resistance=15", "145.8",
     "no_joints=115.8 one_joint=130.8"),
    ("contact-spot-into-the-rail", "diameter=8 resistivity=0.22", "13.8", ""),
    ("pin-in-the-reading", "length=20 diameter=8 resistivity=0.20", "79.6", ""),
    ("pin-in-the-reading", "length=20 diameter=8 resistivity=0.062", "24.7", ""),
    ("extra-a-rail-joint-may-have", "length=18 rail_area=7670", "25.8", "one_metre=1.4"),
    ("extra-a-rail-joint-may-have", "length=36 rail_area=7670", "51.6", ""),
    # four wires
    ("four-wires-both-ways", "current=10 forward_voltage=730 reversed_voltage=-470", "60.0",
     "one_polarity=73.0 added=13.0 no_two=120.0"),
    ("four-wires-both-ways", "current=5 forward_voltage=450 reversed_voltage=-150", "60.0", "one_polarity=90.0"),
    ("contact-after-a-repair", "current=10 forward_voltage=7.30 reversed_voltage=-4.70", "600", "one_polarity=730"),
    ("voltage-that-does-not-turn", "forward_voltage=730 reversed_voltage=-470", "130", "difference=600 no_two=260"),
    ("warm-joint-one-way", "warmth=10 current=10", "13.0", "no_current=130"),
    ("rail-between-the-points", "reading=60 length=0.1 resistance_per_metre=28.7", "57.1", "rail_left_in=60.0"),
    # heat, alloys and steel
    ("heat-to-warm-a-pin", "diameter=8 length=25 start_temperature=0", "4.17",
     "kelvin=5.92 radius=16.67 thousand=4168"),
    ("heat-from-the-steel-table", "mass=7.89168074581756 end_temperature=650", "2.96", ""),
    ("room-below-the-change", "upper_temperature=727 lower_temperature=650", "77", "fahrenheit=139"),
    ("does-this-alloy-fit-this-rail", "alloy=134 ac1=715", "-15", "solidus=85 usual_650=65 fahrenheit=-27"),
    ("where-this-rail-begins-to-change", "manganese=1.00 nickel=0 silicon=0.35 chromium=0", "722", ""),
    ("where-this-rail-begins-to-change", "manganese=1.20 nickel=0 silicon=0.15 chromium=0", "715", ""),
    ("where-this-rail-begins-to-change", "manganese=0.70 nickel=0 silicon=0.58 chromium=0", "732", ""),
    ("where-hardening-begins", "carbon=0.7 manganese=1.0", "213", ""),
    # what good bonds prove
    ("bonds-for-a-licence", "confidence=90 reliability=98", "114", "rounded_down=113 reciprocal=50 two_sided=149"),
    ("bonds-for-a-licence", "confidence=95 reliability=80", "14", ""),
    ("bonds-for-a-licence", "confidence=95 reliability=90", "29", "rounded_down=28"),
    ("bonds-for-a-licence", "confidence=95 reliability=95", "59", ""),
    ("bonds-for-a-licence", "confidence=99 reliability=95", "90", ""),
    ("pins-to-try-from-a-lot", "confidence=90 reliability=90", "22", "rounded_down=21"),
    ("share-a-run-proves", "bonds=20 confidence=95", "86.1", "all=100 confidence=95 swapped=99.7"),
    ("share-a-run-proves", "bonds=10 confidence=95", "74.1", ""),
    ("share-a-run-proves", "bonds=30 confidence=95", "90.5", ""),
    ("trial-bonds-after-a-repair", "bonds=3 confidence=95", "36.8", "all=100"),
    ("trial-bonds-after-a-repair", "bonds=5 confidence=95", "54.9", ""),
    ("chance-with-one-bad-allowed", "bonds=12 bad_share=5", "88.2", "one_bond=95.0 none_allowed=54.0 failing=11.8"),
    ("chance-with-one-bad-allowed", "bonds=10 bad_share=5", "91.4", "none_allowed=59.9"),
    ("chance-with-one-bad-allowed", "bonds=10 bad_share=10", "73.6", "none_allowed=34.9"),
    ("chance-with-one-bad-allowed", "bonds=10 bad_share=20", "37.6", "none_allowed=10.7"),
    ("chance-with-one-bad-allowed", "bonds=20 bad_share=5", "73.6", ""),
    ("poor-crew-all-good", "bonds=10 bad_share=20", "10.7", "one_bond=80.0"),
    ("bad-pins-in-a-sample", "bonds=10 bad_share=10", "34.9", "one_bond=90.0"),
]  # fmt: skip


@pytest.mark.parametrize(("key", "values", "answer", "wrong"), ANSWERS)
def test_example_gives_its_answer_and_its_wrong_answers(*, key: str, values: str, answer: str, wrong: str) -> None:
    """The printed figure of the example, and each misconception's, to the digits of the source."""
    (part,) = parts(key, values)
    assert part.shown == answer
    found = {one.misconception.rpartition(".")[2]: one.shown for one in part.wrong}
    for pair in wrong.split():
        name, figure = pair.split("=")
        assert rounded(found[name], figure) == figure, name


SCENARIOS = [
    # 240 A at 39.0 V and 20 milliohms: 213.7 A, 913 W, and the burn longer by (240 / 213.7) squared
    ("a-dirty-earth", "current=240 time=1.5 rest_voltage=39.0 added_resistance=20", "weak=214 heat=913 burn=1.89"),
    # with the arc as 22 V: 187.2 A
    ("a-fault-past-the-line", "added_resistance=20 current=240 time=1.5 rest_voltage=39.0 arc_voltage=22",
     "weak=187 heat=701 burn=2.47"),
    # 38.0 V for 39.0 V with the arc as 22 V: 225.9 A
    ("a-burn-that-ran-long", "current=240 time=1.5 rest_voltage=39.0 new_rest_voltage=38.0 arc_voltage=22",
     "weak=226 burn=1.69"),
    # 40.8 V for 39.5 V: 1.0743 times the current, and the burn 0.87 of what it was
    ("fresh-charge-burns-hot", "current=240 time=2.0 rest_voltage=39.5 new_rest_voltage=40.8 arc_voltage=22",
     "more=258 burn=1.73"),
    # 60 uohm joints on 1 m of 95 mm2: 206 + 120, over 28.683 uohm/m
    ("a-bond-worth-metres", "current=10 forward_voltage=730 reversed_voltage=-470 length=1 resistance_per_metre=0.206"
     " rail_area=7670", "joint=60.0 bond=326 metres=11.4"),
    ("a-warm-joint-measured-early", "current=10 warmth=10 forward_voltage=730 reversed_voltage=-470 length=0.3"
     " resistance_per_metre=0.386", "shift=13.0 joint=60.0 bond=236"),
    # R260 rail of 1.0 % Mn and 0.35 % Si (722.485 degC), Ag 134 liquid at 730 degC
    ("an-alloy-with-no-room", "alloy=134 carbon=0.7 manganese=1.0 nickel=0 silicon=0.35 chromium=0",
     "change=722 room=-8 brittle=213"),
    # 8 mm steel pin of 20 mm: spot 13.75, pin 79.6 uohm
    ("too-good-to-be-true", "forward_voltage=140 reversed_voltage=-80 diameter=8 length=20 resistivity=0.22",
     "shown=5.5 spot=13.8 stump=79.6"),
]  # fmt: skip


@pytest.mark.parametrize(("key", "values", "answers"), SCENARIOS)
def test_scenario_leads_through_the_worked_figures(*, key: str, values: str, answers: str) -> None:
    """Part after part, from the same worked examples."""
    shown = {part.name: part.shown for part in parts(key, values)}
    for pair in answers.split():
        name, figure = pair.split("=")
        assert shown[name] == figure, name


@pytest.mark.parametrize(("bonds", "bad", "tries"), [(8, 20, 2), (10, 20, 3), (12, 25, 2)])
def test_licence_scenario_agrees_with_scipy(*, bonds: int, bad: int, tries: int) -> None:
    """The run, the chance of passing and the chance within the tries, from the binomial and geometric distributions."""
    values = f"confidence=95 reliability=90 bonds={bonds} bad_share={bad} tries={tries}"
    shown = {part.name: part.shown for part in parts("bonds-enough-for-a-licence", values)}
    run = int(shown["run"])
    assert stats.binom.pmf(run, run, 0.9) <= 0.05 < stats.binom.pmf(run - 1, run - 1, 0.9)
    once = float(stats.binom.cdf(1, bonds, bad / 100))
    assert float(shown["once"]) == pytest.approx(100 * once, abs=0.05)
    assert float(shown["again"]) == pytest.approx(100 * stats.geom.cdf(tries, once), abs=0.05)


@pytest.mark.parametrize(("bonds", "bad", "tries"), [(3, 30, 2), (5, 20, 3)])
def test_mended_gun_scenario_agrees_with_scipy(*, bonds: int, bad: int, tries: int) -> None:
    """The same two chances with no bad bond allowed."""
    shown = {
        part.name: part.shown for part in parts("proving-a-mended-gun", f"bonds={bonds} bad_share={bad} tries={tries}")
    }
    once = float(stats.binom.pmf(0, bonds, bad / 100))
    assert float(shown["once"]) == pytest.approx(100 * once, abs=0.05)
    assert float(shown["again"]) == pytest.approx(100 * stats.geom.cdf(tries, once), abs=0.05)
