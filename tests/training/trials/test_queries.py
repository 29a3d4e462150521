"""Sentences and pictures of a situation."""

import re
from dataclasses import replace
from urllib.parse import parse_qsl

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import cells, circuit, fuse, leads, pack
from training.questions.rounding import written
from training.trials import queries, rules
from training.trials.forms import TrialForm
from training.trials.queries.page import Page
from training.trials.queries.pictures import Picture, Scale, up_from_zero
from training.trials.rules import START, Setting


def plain(text: str) -> str:
    """The text with ordinary spaces."""
    return text.replace("\u00a0", " ")


def page(**changes: float | bool) -> Page:
    """The page of a situation near the start."""
    return queries.page(replace(START, **changes))


def dots(picture: Picture, kind: str) -> list[tuple[float, float]]:
    """The points of a stroke in hundredths of the box, from the left and from the bottom."""
    (path,) = (stroke.path for stroke in picture.strokes if stroke.kind == kind)
    numbers = [float(found) for found in re.findall(r"-?\d+\.\d+", path)]
    return [(x, 100 - y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]


def axis(ticks: tuple[str, ...]) -> tuple[float, float]:
    """The first and the last number of an axis."""
    first, *_between, last = (float(tick.replace("\u2212", "-")) for tick in ticks)
    return first, last


def drawn(picture: Picture, kind: str) -> list[tuple[float, float]]:
    """The points of a stroke in the units of its axes, as a person reads them off the ticks."""
    left, right = axis(picture.along_ticks)
    top, bottom = axis(picture.upright_ticks)
    return [(left + (right - left) * x / 100, bottom + (top - bottom) * y / 100) for x, y in dots(picture, kind)]


SETTINGS = [START, replace(START, cell_temperature=-15.0, air_temperature=-30.0, leads=False, wire_area=2e-6)]


class TestColdPicture:
    @pytest.mark.parametrize("setting", SETTINGS)
    def test_table_is_the_functions(self, setting: Setting) -> None:
        """Each figure again from the computations, printed as a person rounds."""
        rows = queries.page(setting).pictures[0].rows
        both = leads.resistance_at(leads.class5(35e-6), 9, setting.air_temperature) if setting.leads else 0
        rest = setting.earth_resistance + setting.other_resistance
        for row, cell in zip(rows, range(-25, 36, 5), strict=True):
            cold = pack.cold_resistance(0.020, cells.cold_ratio(cell, 20))
            a = circuit.current(39.0, cold, both, rest, setting.arc_resistance)
            b = circuit.current_arc_voltage(39.0, 22.0, cold, both, rest)
            wanted = (f"{cell} °C".replace("-", "\u2212"), f"{written(a, 1)} A", f"{written(b, 1)} A")
            assert tuple(map(plain, row)) == wanted

    @pytest.mark.parametrize("setting", SETTINGS)
    def test_lines_are_the_table(self, setting: Setting) -> None:
        """Read off the drawing by its ticks, each point is its row."""
        picture = queries.page(setting).pictures[0]
        for column, kind in ((1, "a"), (2, "b")):
            for row, (x, y) in zip(picture.rows, drawn(picture, kind), strict=True):
                assert x == pytest.approx(float(plain(row[0]).split()[0].replace("\u2212", "-")), abs=0.01)
                assert y == pytest.approx(float(plain(row[column]).split()[0]), abs=0.1)

    def test_floor_and_marks_stand_where_they_should(self) -> None:
        """The working minimum at 200 A; the marks at the cells' temperature and the currents."""
        picture = page(cell_temperature=-5.0).pictures[0]
        assert [y for _x, y in drawn(picture, "floor")] == pytest.approx([200, 200], abs=0.05)
        for kind, model in (("mark-a", rules.Model.A), ("mark-b", rules.Model.B)):
            current = rules.current(replace(START, cell_temperature=-5.0), model)
            assert drawn(picture, kind) == [pytest.approx((-5, current), abs=0.05)]

    def test_says_down_to_where_the_minimum_is_kept(self) -> None:
        """As the table has it."""
        a, b = (plain(note) for note in page().pictures[0].notes)
        assert a.endswith("In the table it keeps the working minimum of 200 A down to \u22125 °C.")
        assert b.endswith("In the table it keeps the working minimum of 200 A down to 5 °C.")

    def test_says_always_and_never(self) -> None:
        """A stiff pack keeps it everywhere, a very poor earth nowhere."""
        stiff = page(pack_resistance=0.002).pictures[0].notes
        assert all("keeps the working minimum of 200\u00a0A everywhere" in note for note in stiff)
        poor = page(earth_resistance=0.1).pictures[0].notes
        assert all("below the working minimum of 200\u00a0A everywhere" in note for note in poor)

    def test_has_no_mark_outside_its_axis(self) -> None:
        """Cells at 40 degC are hotter than the picture."""
        kinds = [stroke.kind for stroke in page(cell_temperature=40.0).pictures[0].strokes]
        assert kinds == ["floor", "a", "b"]


class TestBurnPicture:
    @pytest.mark.parametrize("setting", SETTINGS)
    def test_table_is_the_functions(self, setting: Setting) -> None:
        """Each figure again from the computations."""
        for row, current in zip(queries.page(setting).pictures[1].rows, range(100, 341, 20), strict=True):
            wire = (current, setting.wire_area, setting.air_temperature)
            begins, through = fuse.onderdonk_time(*wire), fuse.melt_through_time(*wire)
            assert tuple(map(plain, row)) == (f"{current} A", f"{written(begins, 2)} s", f"{written(through, 2)} s")

    @pytest.mark.parametrize("setting", SETTINGS)
    def test_lines_are_the_table(self, setting: Setting) -> None:
        """Read off the drawing by its ticks, each point is its row."""
        picture = queries.page(setting).pictures[1]
        for column, kind in ((1, "a"), (2, "b")):
            for row, (x, y) in zip(picture.rows, drawn(picture, kind), strict=True):
                assert x == pytest.approx(float(plain(row[0]).split()[0]), abs=0.02)
                assert y == pytest.approx(float(plain(row[column]).split()[0]), abs=0.01)

    def test_marks_the_point(self) -> None:
        """The current of each model on the line where the wire begins to melt."""
        setting = replace(START, earth_resistance=0.025)
        picture = queries.page(setting).pictures[1]
        for kind, model in (("mark-a", rules.Model.A), ("mark-b", rules.Model.B)):
            current = rules.current(setting, model)
            begins = fuse.onderdonk_time(current, 1.1e-6, 20)
            assert drawn(picture, kind) == [pytest.approx((current, begins), abs=0.02)]

    def test_says_what_is_not_drawn(self) -> None:
        """Too slow for the picture, and never."""
        a, b = (plain(note) for note in page(cell_temperature=-25.0).pictures[1].notes)
        assert a.endswith("times as long as at 240 A. That lies outside the picture.")
        assert "this wire never burns through. Up to 103 A it sheds heat" in b

    def test_says_where_the_formulas_end(self) -> None:
        """A current that no computation holds for."""
        found = page(pack_resistance=0.001, leads=False, other_resistance=0.0)
        assert "no time is given" in found.pictures[1].notes[1]
        assert "Its other figures are left out: The current must be from" in plain(found.outside[0])


class TestScale:
    @given(st.floats(min_value=1e-3, max_value=1e6))
    def test_ends_at_or_above_in_even_steps(self, value: float) -> None:
        """The end is round and not far above, and its ticks are the steps."""
        scale = up_from_zero(value)
        assert value <= scale.high * (1 + 1e-12)
        assert scale.high <= 1.5 * value * (1 + 1e-12)
        ticks = [float(tick) for tick in scale.ticks()]
        assert ticks == pytest.approx([scale.high * at / scale.steps for at in range(scale.steps + 1)])

    @pytest.mark.parametrize(
        ("scale", "ticks"),
        [
            (Scale(-25, 35, 6), ["\u221225", "\u221215", "\u22125", "5", "15", "25", "35"]),
            (up_from_zero(0.9), ["0.0", "0.2", "0.4", "0.6", "0.8", "1.0"]),
            (up_from_zero(280), ["0", "100", "200", "300"]),
        ],
    )
    def test_prints_no_more_figures_than_needed(self, scale: Scale, ticks: list[str]) -> None:
        """As on a ruler."""
        assert scale.ticks() == ticks


class TestSentences:
    def test_reason_of_each_verdict(self) -> None:
        """Floor 38.00 V, guard 0.24 V (half a per cent and two digits)."""
        go, unproven, no_go = (page(rest_voltage=volts).answer for volts in (39.0, 38.1, 37.5))
        assert plain(go.reason).startswith("39.00 V is at or above 38.25 V: the floor of 38.00 V plus the guard band")
        assert plain(unproven.reason).startswith("38.10 V lies between 37.76 V and 38.25 V")
        assert plain(no_go.reason).startswith("37.50 V is below 37.76 V")
        assert [one.look for one in (go, unproven, no_go)] == ["accept", "telephone", "refuse"]

    def test_limits_are_readings_that_a_meter_can_show(self) -> None:
        """38.00 V and 0.2425 V: 38.24 falls short, and 38.25 is what the sheet of a practical asks for too."""
        below, at = (page(rest_voltage=volts).answer for volts in (38.24, 38.25))
        assert plain(below.reason).startswith("38.24 V lies between 37.76 V and 38.25 V")
        assert plain(at.reason).startswith("38.25 V is at or above 38.25 V")
        assert plain(below.facts[1][1]) == "0.242 V"

    def test_chance_is_never_all_or_nothing(self) -> None:
        """A bound is said where rounding would claim certainty."""
        chances = [plain(page(rest_voltage=volts).answer.facts[2][1]) for volts in (39.0, 38.1, 37.0)]
        assert chances == ["more than 99.9 %", "79.5 %", "less than 0.1 %"]

    def test_charge_is_left_out_beyond_the_data(self) -> None:
        """Fresh off the charger the curve has ended."""
        assert len(page(rest_voltage=39.0).answer.facts) == 4
        assert len(page(rest_voltage=42.0).answer.facts) == 3

    @pytest.mark.parametrize("name", ["rest_voltage", "meter_share", "meter_digits"])
    def test_no_verdict_on_what_was_not_read(self, name: str) -> None:
        """A starting value that stands in is not the pack in hand."""
        assert queries.page(START, refused=[name]).answer.word == "Pack voltage: not judged"
        assert queries.page(START, refused=["burn_time"]).answer.word == "Pack voltage: go"

    def test_minimum_by_both_one_or_neither(self) -> None:
        """Which models keep it."""
        assert page().minimum.startswith("Both models keep")
        assert page(earth_resistance=0.025).minimum.startswith("Model B is below")
        assert page(cell_temperature=-25.0).minimum.startswith("Both models are below")

    def test_change_against_the_start(self) -> None:
        """Signed, whole amperes."""
        found = page(leads=False).change
        assert plain(found) == "Against the starting values: model A +16 A, model B +39 A."
        assert plain(page().change) == "Against the starting values: model A 0 A, model B 0 A."

    def test_break_even_only_where_the_data_reach(self) -> None:
        """Thin leads on a stiff pack pay everywhere."""
        assert len(page().loop_notes) == 3
        assert len(page(pack_resistance=0.001, lead_area=10e-6).loop_notes) == 2


class TestSituations:
    def test_links_set_what_they_say(self) -> None:
        """Each link, read by the form, gives the currents printed beside it."""
        for one in page().situations:
            form = TrialForm(dict(parse_qsl(one.query.removeprefix("?"))))
            found = queries.page(form.setting())
            assert form.errors == {}
            assert (found.a, found.b) == (one.a, one.b)

    def test_first_one_goes_back_to_the_start(self) -> None:
        """It carries nothing."""
        assert page().situations[0].query == "?"


class TestGrounds:
    def test_every_source_has_its_tag(self) -> None:
        """And no source stands twice."""
        found = page()
        assert all(one.says and one.source and one.tag for one in (*found.sources, *found.assumptions))
        assert len({(one.source, one.tag) for one in found.sources}) == len(found.sources)
