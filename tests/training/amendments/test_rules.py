"""The text of an amendment, as plain values."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.training.amendments.conftest import CHANGED, DRAWN, MODULE
from training.amendments import rules
from training.amendments.rules import Move, Objection, State, fields, texts
from training.content.mistakes import Mistake
from training.content.procedures import read_module
from training.content.written_modules import tables

BODY = MODULE.as_json()
TEXT = rules.begun(BODY)
DRAWINGS = [DRAWN.as_json()]


def slugs(text: rules.Text) -> list[str]:
    return [step["slug"] for step in text["steps"]]


@pytest.mark.parametrize(
    ("proposed", "granted", "stands"),
    [
        (False, None, State.WRITING),
        (True, None, State.PROPOSED),
        (True, True, State.GRANTED),
        (True, False, State.REFUSED),
    ],
)
def test_where_it_stands(proposed: bool, granted: bool | None, stands: State) -> None:
    """From the first change to the decision."""
    assert rules.state(proposed=proposed, granted=granted) is stands


class TestText:
    def test_untouched_makes_the_same_module(self) -> None:
        """So that only what was typed differs."""
        made = rules.assembled(TEXT, changed=BODY["changed"], drawings=DRAWINGS)
        assert read_module(tables(made), drawings=(DRAWN,)) == MODULE
        assert not rules.differs(BODY, made)

    def test_words_about_the_change_are_no_change(self) -> None:
        """Nor is what the last revision asked, nor its drawings, which nobody changes here."""
        made = rules.assembled({**TEXT, "revision": {"demand": "read"}}, changed=CHANGED, drawings=[])
        assert not rules.differs({**BODY, "revision": {"demand": "stands"}}, made)
        assert rules.differs(BODY, {**made, "stops": ["Wet gloves"]})

    def test_begins_without_the_demand_of_the_last_revision(self) -> None:
        """It was about what changed then."""
        assert rules.begun({**BODY, "revision": {"demand": "read"}})["revision"] is None
        assert "drawings" not in TEXT
        assert "changed" not in TEXT

    def test_a_drawing_leaves_with_its_last_step(self) -> None:
        """The reader refuses one that no step shows."""
        text = rules.without_step(TEXT, "earth")
        assert rules.assembled(text, changed="x", drawings=DRAWINGS)["drawings"] == []

    def test_numbers_are_read_as_typed_by_hand(self) -> None:
        """A decimal comma is a point in the revision."""
        step = {**TEXT["steps"][0], "figures": [{**TEXT["steps"][0]["figures"][0], "value": "1,5", "value_to": "−2"}]}
        figure = rules.assembled(rules.with_step(TEXT, step), changed="x", drawings=[])["steps"][0]["figures"][0]
        assert (figure["value"], figure["value_to"]) == ("1.5", "-2")

    def test_a_step_takes_the_place_of_its_like(self) -> None:
        """The others stay."""
        text = rules.with_step(TEXT, {**TEXT["steps"][1], "title": "Other"})
        assert slugs(text) == slugs(TEXT)
        assert rules.step_of(text, "earth")["title"] == "Other"
        assert rules.step_of(text, "none") is None

    @pytest.mark.parametrize(
        ("slug", "move", "order"),
        [
            ("earth", Move.UP, ["earth", "fault-a", "pin", "fault-b"]),
            ("pin", Move.DOWN, ["earth", "fault-a", "pin", "fault-b"]),
            ("pin", Move.UP, ["pin", "fault-a", "earth", "fault-b"]),
            ("earth", Move.DOWN, ["pin", "fault-a", "earth", "fault-b"]),
            ("fault-a", Move.DOWN, ["pin", "fault-b", "earth", "fault-a"]),
        ],
    )
    def test_moves_in_its_own_list(self, slug: str, move: Move, order: list[str]) -> None:
        """The page shows steps of the work and faults apart."""
        text = {"steps": [{"slug": one} for one in ("pin", "fault-a", "earth", "fault-b")]}
        assert slugs(rules.moved(text, slug, move)) == order

    @pytest.mark.parametrize(
        ("title", "fault", "after", "slug", "order"),
        [
            ("Tug the plugs", False, "pin", "tug-the-plugs", ["pin", "tug-the-plugs", "earth", "fault-dead"]),
            ("Zünd!", False, "none", "zund", ["pin", "earth", "fault-dead", "zund"]),
            ("Earth", False, "", "earth-2", ["pin", "earth", "fault-dead", "earth-2"]),
            ("Dead", True, "", "fault-dead-2", ["pin", "earth", "fault-dead", "fault-dead-2"]),
            ("Земля", False, "earth", "step", ["pin", "earth", "step", "fault-dead"]),
        ],
    )
    def test_a_new_step_gets_a_name(self, title: str, fault: bool, after: str, slug: str, order: list[str]) -> None:
        """Of small letters, digits and hyphens, used by no other step."""
        text, made = rules.added(TEXT, title, fault=fault, after=after)
        assert (made, slugs(text)) == (slug, order)
        assert rules.step_fields(rules.step_of(text, slug))["title"] == title

    def test_a_name_taken_more_than_once(self) -> None:
        """Numbers go on."""
        text, _slug = rules.added(TEXT, "Earth", fault=False, after="")
        assert rules.added(text, "Earth", fault=False, after="")[1] == "earth-3"

    @given(st.text())
    def test_any_title_gives_a_name_the_reader_takes(self, title: str) -> None:
        """Checked by the reader itself."""
        slug = texts._slug(title)
        step = {**TEXT["steps"][0], "slug": slug}
        body = rules.assembled({**TEXT, "steps": [step]}, changed="x", drawings=[])
        assert read_module(tables(body)).steps[0].slug == slug


class TestFields:
    def test_a_step_comes_back(self) -> None:
        """What its page shows is what its page sends."""
        for step in TEXT["steps"]:
            sent = {name: [text] for name, text in rules.step_fields(step).items()}
            assert rules.step_typed(sent, step["slug"]) == step

    def test_the_parts_come_back(self) -> None:
        """With and without a demand."""
        demand = {"demand": "answer", "within_days": 14, "overdue": "stops", "questions": ["drop", "pack"]}
        for asked in (None, demand):
            text = {**TEXT, "revision": asked}
            sent = {name: [value] for name, value in rules.parts_fields(text).items()}
            assert {**text, **rules.parts_typed(sent)} == text

    def test_a_number_of_days_that_is_none(self) -> None:
        """Kept as typed, for the reader to refuse."""
        assert rules.parts_typed({"within_days": ["soon"]})["revision"]["within_days"] == "soon"

    def test_figures_left_empty_or_ticked_go(self) -> None:
        """A bound alone is no figure."""
        sent = {"figure-1-bound": ["about"], "figure-2-says": ["x"], "figure-2-gone": ["on"], "figure-3-says": ["y"]}
        assert [one["says"] for one in rules.step_typed(sent, "pin")["figures"]] == ["y"]

    def test_as_many_figures_as_fit(self) -> None:
        """No empty row below the last one."""
        step = {**TEXT["steps"][0], "figures": [TEXT["steps"][0]["figures"][0]] * rules.MOST_FIGURES}
        assert f"figure-{rules.MOST_FIGURES}-says" in rules.step_fields(step)
        assert f"figure-{rules.MOST_FIGURES + 1}-says" not in rules.step_fields(step)

    def test_lists_have_an_end(self) -> None:
        """However much is sent."""
        assert rules.lines(" a \n\n b\n") == ["a", "b"]
        assert len(rules.lines("x\n" * 999)) == fields.MOST_LINES


@pytest.mark.parametrize(
    ("key", "step", "field"),
    [
        ("title", "", "title"),
        ("changed", "", "changed"),
        ("stops", "", "stops"),
        ("revision", "", "demand"),
        ("revision.within_days", "", "within_days"),
        ("revision.questions", "", "questions"),
        ("step", "", ""),
        ("order", "", ""),
        ("step[earth]", "earth", ""),
        ("step[earth].why", "earth", "why"),
        ("step[earth].tools", "earth", "tools"),
        ("step[earth].slug", "earth", ""),
        ("step[earth].figure", "earth", ""),
        ("step[earth].figure[2]", "earth", "figure-2-says"),
        ("step[earth].figure[2].unit", "earth", "figure-2-unit"),
        ("step[earth].figure[2].colour", "earth", "figure-2-says"),
    ],
)
def test_each_mistake_has_its_field(key: str, step: str, field: str) -> None:
    """By the key the reader of files gives."""
    assert rules.placed(Mistake("procedure.toml", key, "is missing")) == Objection(step, field, "This is missing.")


def test_objections_by_step() -> None:
    """Those to the module itself under no slug."""
    one, two, three = Objection("pin", "why", "A."), Objection("", "title", "B."), Objection("pin", "", "C.")
    assert rules.by_step([one, two, three]) == {"pin": (one, three), "": (two,)}
