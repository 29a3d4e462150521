"""Where a reader stands, and what differs between revisions."""

import pytest

from tests.training.procedures.content import module, revised
from training.procedures.rules import Change, Standing, changes, is_fault, standing


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

    def test_name_the_other_parts_that_differ(self):
        assert changes(module().as_json(), revised().as_json()).parts == ("stops",)
        assert changes(module().as_json(), module(title="Set up").as_json()).parts == ("title",)


class TestIsFault:
    def test_tells_a_fault_from_a_step_by_its_slug(self):
        assert is_fault("fault-dead")
        assert not is_fault("faultless")
