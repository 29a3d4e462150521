"""Where a reader stands, and what differs between revisions."""

from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.training.procedures.content import FIGURE, module, revised, step
from training.procedures.rules import (
    Change,
    Mark,
    Piece,
    Relisted,
    Standing,
    changes,
    difference,
    due_on,
    is_fault,
    reworded,
    standing,
)


class TestStanding:
    @pytest.mark.parametrize(
        ("latest", "last_read", "expected"),
        [
            (1, None, Standing.UNREAD),
            (3, None, Standing.UNREAD),
            (1, 1, Standing.READ),
            (2, 1, Standing.CHANGED),
            (9, 1, Standing.CHANGED),
            (9, 9, Standing.READ),
        ],
    )
    def test_compares_the_newest_reading_with_the_revision_in_force(self, latest, last_read, expected):
        assert standing(latest=latest, last_read=last_read) is expected


class TestChanges:
    def test_of_equal_bodies_are_none(self):
        found = changes(module().as_json(), module().as_json())
        assert (found.added, found.altered, found.removed, found.parts) == ((), (), (), ())

    def test_name_steps_that_came_went_and_read_differently(self):
        found = changes(module().as_json(), revised().as_json())
        assert found.added == (Change("tug", "Tug the plugs"),)
        assert found.altered == (Change("earth", "Fit the earth"),)
        assert found.removed == (Change("pin", "Load the pin"),)

    def test_tell_other_questions_from_another_text(self):
        """A reader who opens the step would look for words that did not change."""
        older, newer = module().as_json(), module().as_json()
        newer["steps"] = [{**one, "ask": ["a-question"]} if one["slug"] == "earth" else one for one in newer["steps"]]
        found = changes(older, newer)
        assert (found.altered, found.asked) == ((), (Change("earth", "Fit the earth"),))
        newer["steps"][0] = {**newer["steps"][0], "why": "Another reason.", "ask": ["a-question"]}
        found = changes(older, newer)
        assert found.altered == (Change(newer["steps"][0]["slug"], newer["steps"][0]["title"]),)

    def test_name_the_other_parts_that_differ(self):
        assert changes(module().as_json(), revised().as_json()).parts == ("stops",)
        assert changes(module().as_json(), module(title="Set up").as_json()).parts == ("title",)


class TestIsFault:
    def test_tells_a_fault_from_a_step_by_its_slug(self):
        assert is_fault("fault-dead")
        assert not is_fault("faultless")


class TestDueOn:
    @pytest.mark.parametrize(
        ("loaded_at", "days", "expected"),
        [
            (datetime(2026, 10, 1, 12, tzinfo=UTC), 60, date(2026, 11, 30)),
            # Half past midnight in London in June is the day before in UTC.
            (datetime(2026, 6, 2, 0, 30, tzinfo=ZoneInfo("Europe/London")), 1, date(2026, 6, 2)),
            (datetime(2028, 2, 28, 23, 59, tzinfo=UTC), 1, date(2028, 2, 29)),
        ],
    )
    def test_counts_days_from_the_day_of_loading_in_utc(self, loaded_at, days, expected):
        assert due_on(loaded_at, within_days=days) == expected


class TestReworded:
    def test_of_the_same_words_is_nothing(self):
        assert reworded("Fit it. Look twice.", " Fit it. Look  twice.") == ()
        assert reworded("", "") == ()

    def test_shows_only_the_sentence_that_changed_word_by_word(self):
        assert reworded("Fit it. Look twice at 8.5 mm. Fire.", "Fit it. Look three times at 8.5 mm. Fire.") == (
            (
                Piece(Mark.SAME, "Look"),
                Piece(Mark.REMOVED, "twice"),
                Piece(Mark.ADDED, "three times"),
                Piece(Mark.SAME, "at 8.5 mm."),
            ),
        )

    def test_shows_a_sentence_put_in_or_taken_out_whole(self):
        assert reworded("Fit it. Fire.", "Fit it. Look twice. Fire.") == ((Piece(Mark.ADDED, "Look twice."),),)
        assert reworded("Fit it. Look twice. Fire.", "Fit it. Fire.") == ((Piece(Mark.REMOVED, "Look twice."),),)

    @given(st.text(), st.text())
    def test_loses_no_word_of_either(self, older, newer):
        """The pieces kept and removed are the old changed sentences, those kept and added the new ones."""
        found = [piece for sentence in reworded(older, newer) for piece in sentence]
        for text, mark in ((older, Mark.REMOVED), (newer, Mark.ADDED)):
            words = text.split()
            shown = [word for piece in found if piece.mark in {Mark.SAME, mark} for word in piece.text.split()]
            assert all(words.count(word) >= shown.count(word) for word in shown)


class TestDifference:
    def test_of_equal_bodies_is_empty(self):
        assert difference(module().as_json(), module().as_json()).is_empty

    def test_names_each_step_with_what_became_of_it(self):
        found = difference(module().as_json(), revised().as_json())
        assert [(one.mark, one.slug) for one in found.steps] == [
            (Mark.SAME, "earth"),
            (Mark.ADDED, "tug"),
            (Mark.REMOVED, "pin"),
        ]
        assert [one.part for one in found.steps[0].texts] == ["hold"]
        assert [one.part for one in found.steps[1].texts] == ["title", "text", "why", "caution", "hold"]
        assert found.lists == (Relisted("stops", (), ("Wet gloves",)),)
        assert not found.reordered

    def test_matches_figures_by_what_they_say(self):
        other = replace(FIGURE, says="Rest", value="38", unit="V")
        lower = replace(FIGURE, value="100")
        before, after = (module(steps=(step(figures=figures),)).as_json() for figures in ((FIGURE,), (lower, other)))
        (found,) = difference(before, after).steps
        assert [(one.older and one.older["value"], one.newer and one.newer["value"]) for one in found.figures] == [
            ("120", "100"),
            (None, "38"),
        ]
        (back,) = difference(after, before).steps
        assert back.figures[1].newer is None

    def test_sees_a_drawing_come_change_and_go(self):
        def body(svg):
            made = module().as_json()
            made["drawings"] = [{"name": "clamp", "svg": svg}] if svg else []
            made["steps"][1]["drawing"] = "clamp" if svg else ""
            return made

        def redrawn(older, newer):
            return [one.redrawn for one in difference(body(older), body(newer)).steps]

        assert redrawn("", "a") == [Mark.ADDED]
        assert redrawn("a", "b") == [Mark.SAME]
        assert redrawn("a", "") == [Mark.REMOVED]
        assert redrawn("a", "a") == []

    def test_sees_another_order(self):
        turned = module(steps=tuple(reversed(module().steps)))
        found = difference(module().as_json(), turned.as_json())
        assert (found.reordered, found.steps, found.is_empty) == (True, (), False)

    def test_shows_other_words_of_the_module_itself(self):
        found = difference(module().as_json(), module(title="Setting it up", tools=("Meter", "Chalk")).as_json())
        assert [one.part for one in found.texts] == ["title"]
        assert found.lists == (Relisted("tools", (), ("Chalk",)),)
