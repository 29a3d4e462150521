"""The catalogue as a whole: keys, sources, ranges, and wrong answers that differ from the right one."""

import math
import subprocess
import sys
from collections import Counter

import pytest

from training.calc import catalogue
from training.calc.catalogue import CATALOGUE, TAGS, Entry, OutOfRange, compute
from training.calc.ranges import Slot
from training.questions.units import dimension

RIGHT = [entry for entry in CATALOGUE.values() if entry.mistake_of is None]
MISTAKES = [entry for entry in CATALOGUE.values() if entry.mistake_of is not None]
FEEDING = {  # these only fill printed rows of a question; nobody is asked for them
    "pack.rest_voltage_low pack.rest_voltage_high pack.shots_low pack.shots_high pack.meter_standard",
    "pack.internal_resistance_uncertainty pack.cold_ratio pack.break_even_temperature leads.class5",
    "leads.class5_tinned leads.solid_per_metre leads.copper_factor_inferred leads.awg_diameter leads.awg_area",
    "leads.awg_per_metre day.enough_probability day.shots_enough_poisson fuse.preece_diameter fuse.time_constant",
    "heat.steel_specific_heat heat.steel_enthalpy heat.alloy_solidus heat.alloy_liquidus heat.stud_current",
    "heat.stud_time eyes.shade_from_transmittance windchill.frostbite_soonest hotwork.nfpa_watch",
    "lifting.frequency_multiplier lifting.grip_multiplier evidence.demonstrated_uniform_prior charge.shots_quotient",
    "day.packs_quotient windchill.wind_power noise.osha_part noise.niosh_part evidence.run_quotient",
    "evidence.exact_low evidence.exact_high evidence.wilson_low evidence.wilson_high joint.kelvin_expanded",
}

# values of an ordinary question, by subject; a key's own values win
SAMPLES: dict[str, dict[str, float]] = {
    "pack": {
        "first_battery": 13.21, "second_battery": 13.18, "third_battery": 13.26, "pack_voltage": 38.4,
        "rest_voltage": 39.2, "meter_half_width": 0.2, "charge_state": 0.4, "full_shots": 120.0,
        "reserve_share": 0.1, "reading": 38.2, "limit": 38.0, "reading_share": 0.005, "digits": 2.0,
        "display_step": 0.01, "first_voltage": 39.96, "first_current": 2.0, "second_voltage": 39.38,
        "second_current": 25.0, "voltage_uncertainty": 0.01, "current_uncertainty": 0.1, "current": 240.0,
        "pack_resistance": 0.02, "cold_ratio": 2.6, "air_temperature": -30.0, "cell_temperature": -5.0,
        "reference_temperature": 20.0, "lead_resistance": 0.01,
    },
    "circuit": {
        "rest_voltage": 38.6, "new_rest_voltage": 38.0, "arc_voltage": 22.0, "pack_resistance": 0.025,
        "lead_resistance": 0.01, "earth_resistance": 0.008, "arc_resistance": 0.12, "current": 240.0,
        "added_resistance": 0.02, "resistance": 0.02,
    },
    "leads": {
        "area": 50e-6, "resistance_per_metre": 0.386e-3, "lead_length": 9.0, "temperature": -10.0,
        "current": 240.0, "shot_time": 1.75, "gauge": -1.0,
    },
    "charge": {
        "current": 240.0, "shot_time": 1.75, "loaded_voltage": 34.2, "capacity": 54_000.0, "usable_share": 0.9,
        "fired": 35.0, "shots": 100.0, "charger_current": 2.0, "efficiency": 0.99, "charging_time": 7200.0,
    },
    "day": {
        "bonds": 220.0, "repeat_share": 0.06, "confidence": 0.9, "shots": 240.0, "shots_per_charge": 110.0,
    },
    "fuse": {
        "current": 260.0, "new_current": 190.0, "time": 1.5, "ambient": 25.0, "area": 1e-6, "diameter": 1.1e-3,
        "minimum_current": 92.3, "time_constant": 9.4,
    },
    "joint": {
        "diameter": 8e-3, "length": 0.3, "density": 7850.0, "resistivity": 0.22e-6, "rail_area": 7670e-6,
        "bond_resistance": 200e-6, "resistance_per_metre": 29e-6, "joint_resistance": 15e-6, "share": 0.05,
        "forward_voltage": 730e-6, "reversed_voltage": -470e-6, "current": 10.0, "warmth": 10.0,
        "reading": 60e-6, "typical": 90e-6, "lead_current": 2.0, "lead_resistance": 0.1, "driving_voltage": 9.0,
        "reading_share": 0.01, "digits": 5.0, "display_step": 1e-7, "current_share": 0.01,
    },
    "heat": {
        "temperature": 650.0, "start_temperature": 20.0, "end_temperature": 650.0, "mass": 8e-3,
        "specific_heat": 650.0, "current": 240.0, "arc_voltage": 22.0, "shot_time": 1.75, "part_energy": 2958.0,
        "whole_energy": 9240.0, "upper_temperature": 727.0, "lower_temperature": 650.0, "manganese": 0.01,
        "nickel": 0.001, "silicon": 0.0035, "chromium": 0.001, "carbon": 0.007, "alloy": 134.0, "ac1": 715.0,
        "diameter": 8e-3, "length": 20e-3, "density": 7850.0,
    },
    "eyes": {
        "current": 240.0, "electrode_diameter": 8e-3, "shade": 10.0, "lighter_shade": 5.0, "darker_shade": 10.0,
        "transmittance": 0.01,
    },
    "windchill": {"temperature": -25.0, "wind": 20 / 3.6, "index": -41.0},
    "hotwork": {"last_shot": 56_400.0, "rule_watch": 1800.0, "site_watch": 3600.0, "edition": 2019.0, "distance": 6.0},
    "lifting": {
        "horizontal": 0.35, "vertical": 0.5, "travel": 0.35, "asymmetry": 30.0, "frequency_multiplier": 0.85,
        "grip_multiplier": 0.95, "load": 16.0, "lifts_per_minute": 0.2, "duration": 28_800.0, "grip": 2.0,
    },
    "noise": {
        "level": 95.0, "part_time": 900.0,
        "first_level": 102.0, "first_time": 900.0, "second_level": 88.0, "second_time": 10_800.0,
        "dose": 0.66,
    },
    "vibration": {
        "magnitude": 4.5, "trigger_time": 2700.0, "first_magnitude": 7.0, "first_time": 1200.0,
        "second_magnitude": 4.0, "second_time": 3600.0,
    },
    "evidence": {
        "confidence": 0.9, "reliability": 0.98, "failures": 1.0, "bonds": 12.0, "good": 11.0, "allowed": 1.0,
        "bad_share": 0.05, "pass_probability": 0.37, "tries": 2.0,
    },
}  # fmt: skip
SPECIAL: dict[str, dict[str, float]] = {
    "day.packs_enough": {"bonds": 200.0, "confidence": 0.95, "shots_per_charge": 108.0},
    "eyes.shade_by_electrode": {"electrode_diameter": 4e-3},
}


def sample(entry: Entry) -> dict[str, float]:
    """Ordinary values for the inputs of an entry."""
    right = entry.mistake_of or entry.key
    values = SAMPLES[entry.key.split(".")[0]] | SPECIAL.get(right, {})
    return {slot.name: values[slot.name] for slot in entry.inputs}


class TestKeys:
    """Keys, titles, sources and sentences."""

    def test_keys_are_subject_and_name(self) -> None:
        """A computation has two words, its mistakes a third below it."""
        assert all(entry.key.count(".") == 1 for entry in RIGHT)
        assert all(entry.key.rpartition(".")[0] == entry.mistake_of for entry in MISTAKES)

    def test_each_entry_stands_under_its_key(self) -> None:
        """The table is what it says."""
        assert all(CATALOGUE[key].key == key for key in CATALOGUE)

    def test_refuses_a_key_twice(self) -> None:
        """A second entry under a key is a mistake in the code."""
        with pytest.raises(ValueError, match=r"leads\.drop stands twice"):
            catalogue.by_key([CATALOGUE["leads.drop"], CATALOGUE["leads.drop"]])

    def test_every_source_is_named_and_tagged(self) -> None:
        """A source in words, and how sure it is."""
        assert all(entry.source and entry.tag in TAGS for entry in CATALOGUE.values())

    def test_mistakes_speak_to_the_person(self) -> None:
        """In the second person, in whole sentences."""
        assert all(entry.says.startswith("You ") and entry.says.endswith(".") for entry in MISTAKES)
        assert not any(entry.says for entry in RIGHT)

    def test_units_can_be_converted(self) -> None:
        """Every unit is a spelling that questions know."""
        slots: list[Slot] = [slot for entry in CATALOGUE.values() for slot in (*entry.inputs, entry.output)]
        assert all(dimension(slot.unit) for slot in slots)

    def test_every_asked_computation_has_two_mistakes(self) -> None:
        """Only rows that feed a question have none."""
        counts = Counter(entry.mistake_of for entry in MISTAKES)
        feeding = {key for line in FEEDING for key in line.split()}
        assert {entry.key for entry in RIGHT if counts[entry.key] < 2} - {"leads.correction_to_20"} == feeding


class TestCompute:
    """Computing by key and names."""

    @pytest.mark.parametrize("entry", CATALOGUE.values(), ids=CATALOGUE)
    def test_ordinary_values(self, entry: Entry) -> None:
        """Every entry gives a finite float on ordinary values."""
        found = compute(entry.key, sample(entry))
        assert type(found) is float
        assert math.isfinite(found)
        assert not entry.output.whole or found == round(found)

    @pytest.mark.parametrize("entry", MISTAKES, ids=lambda entry: entry.key)
    def test_a_mistake_is_not_the_answer(self, entry: Entry) -> None:
        """On ordinary values every wrong answer is far enough from the right one to be told apart."""
        right = CATALOGUE[str(entry.mistake_of)]
        assert not math.isclose(compute(entry.key, sample(entry)), compute(right.key, sample(right)), rel_tol=5e-4)

    @pytest.mark.parametrize("entry", [e for e in RIGHT if not e.output.whole], ids=lambda entry: entry.key)
    def test_mistakes_differ_from_one_another(self, entry: Entry) -> None:
        """Two mistakes that give the same figure could not be told apart."""
        found = [compute(slip.key, sample(slip)) for slip in MISTAKES if slip.mistake_of == entry.key]
        assert len({f"{value:.4g}" for value in found}) == len(found)

    @pytest.mark.parametrize("entry", CATALOGUE.values(), ids=CATALOGUE)
    def test_refuses_values_outside_their_range(self, entry: Entry) -> None:
        """Each bound of each input is kept, with a sentence that says the range."""
        values = sample(entry)
        for slot in entry.inputs:
            for bound, step in ((slot.low, -1), (slot.high, 1)):
                assert bound is not None
                with pytest.raises(OutOfRange, match=f"The {slot.says}".replace("(", r"\(").replace(")", r"\)")):
                    compute(entry.key, values | {slot.name: bound + step * max(1, abs(bound))})

    def test_refuses_an_unknown_key(self) -> None:
        """The sentence names the key."""
        with pytest.raises(catalogue.UnknownComputation, match=r"no computation named leads\.length"):
            compute("leads.length", {})

    def test_refuses_other_names(self) -> None:
        """Missing and surplus names are both told."""
        with pytest.raises(catalogue.WrongInputs, match="lacks lead_length and has no use for length"):
            compute("leads.resistance", {"resistance_per_metre": 0.001, "length": 9.0})
        with pytest.raises(catalogue.WrongInputs, match="lacks nothing and has no use for area"):
            compute("leads.class5", {"area": 25e-6} | {"area_": 1.0})


class TestFloor:
    """The floor stands on no framework."""

    def test_knows_no_framework(self) -> None:
        """Importing the catalogue alone does not import Django."""
        code = "import sys, training.calc.catalogue; sys.exit('django' in sys.modules)"
        assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
