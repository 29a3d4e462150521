"""When what a revision asks for is done."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from training.bridges.rules import Act, Done, Duty, progress


def at(day: int) -> datetime:
    return datetime(2026, 11, day, 12, tzinfo=UTC)


def duty(**changes: Any) -> Duty:
    facts = {"slug": "setup", "title": "Setting up", "number": 2, "asks": False, "stops": True}
    facts |= {"landed_on": date(2026, 11, 1), "due_on": date(2026, 11, 20)}
    return Duty(**(facts | changes))


def read(number: int, day: int, slug: str = "setup") -> Done:
    return Done(Act.READ, slug, number, at(day))


def answered(number: int, day: int) -> Done:
    return Done(Act.ANSWERED, "setup", number, at(day))


class TestProgress:
    @pytest.mark.parametrize(
        ("changes", "done", "expected"),
        [
            ({}, (), (None, None, None)),
            ({}, (read(1, 3),), (None, None, None)),
            ({}, (read(2, 3),), (at(3), None, at(3))),
            ({}, (read(3, 9),), (at(9), None, at(9))),  # a later revision counts
            ({}, (read(3, 9), read(2, 3)), (at(3), None, at(3))),  # from the first of them on
            ({}, (read(2, 3, "firing"),), (None, None, None)),
            ({"asks": True}, (read(2, 3),), (at(3), None, None)),
            ({"asks": True}, (answered(2, 4),), (None, at(4), None)),
            ({"asks": True}, (answered(2, 4), read(3, 9)), (at(9), at(4), at(9))),
            ({"asks": True}, (answered(2, 9), read(2, 4)), (at(4), at(9), at(9))),
            ({"asks": True}, (answered(3, 9), read(2, 4)), (at(4), None, None)),  # other questions
            ({"ended_at": at(15)}, (), (None, None, at(15))),
            ({"ended_at": at(15)}, (read(2, 16),), (at(16), None, at(15))),
            ({"ended_at": at(15)}, (read(2, 14),), (at(14), None, at(14))),
        ],
    )
    def test_is_settled_once_all_that_is_asked_is_done(
        self,
        changes: dict[str, Any],
        done: tuple[Done, ...],
        expected: tuple[datetime | None, datetime | None, datetime | None],
    ) -> None:
        """From the moment of the last act needed, or of the module going out of use."""
        found = progress(duty(**changes), done)
        assert (found.read_at, found.answered_at, found.settled_at) == expected
