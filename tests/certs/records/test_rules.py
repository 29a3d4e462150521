"""What comes next, as a table, and what a supervisor looks at first."""

from datetime import date, timedelta
from typing import Any

import pytest

from certs.cards.rules import Standing
from certs.records import rules
from certs.records.rules import Next, Practical, Progress, Step

ON = date(2026, 11, 25)
LATER = ON + timedelta(days=400)
RENEW = ON + timedelta(days=220)
FREE = ON + timedelta(days=7)
SOON = ON + timedelta(days=20)
READ_BY = {"owed_by": SOON, "owed_unread": True}


def held(standing: Standing, **facts: Any) -> Progress:
    days = {"valid_from": ON, "last_day": LATER, "renew_from": RENEW, "confirmed_to": ON + timedelta(days=100)}
    return Progress(standing=standing, **(days | facts))


TABLE = [
    ("nothing begun, modules unread", Progress(unread=4), Next(Step.READ)),
    ("all read", Progress(), Next(Step.SIT)),
    ("paper open", Progress(sitting_open=True), Next(Step.GO_ON)),
    ("paper open goes before reading", Progress(sitting_open=True, unread=1), Next(Step.GO_ON)),
    ("paper missed", Progress(free_on=FREE), Next(Step.WAIT, FREE)),
    ("paper missed, a module revised", Progress(free_on=FREE, unread=1), Next(Step.READ)),
    ("paper passed", Progress(paper_passed=True), Next(Step.PRACTICAL)),
    ("paper passed, a module revised since", Progress(paper_passed=True, unread=1), Next(Step.READ)),
    ("practical failed", Progress(paper_passed=True, practical=Practical.FAILED), Next(Step.PRACTICAL_AGAIN)),
    ("practical passed", Progress(paper_passed=True, practical=Practical.WAITS), Next(Step.DECISION)),
    ("revised after signing", Progress(paper_passed=True, unread=1, practical=Practical.WAITS), Next(Step.DECISION)),
    ("decision refused", Progress(paper_passed=True, practical=Practical.REFUSED), Next(Step.PRACTICAL_AGAIN)),
    ("current", held(Standing.CURRENT), Next(Step.NOTHING, RENEW)),
    ("current, a module revised", held(Standing.CURRENT, unread=1), Next(Step.READ)),
    ("current, work to confirm soon", held(Standing.CURRENT, confirmed_to=SOON), Next(Step.CONFIRM, SOON)),
    ("confirming goes before reading", held(Standing.CURRENT, confirmed_to=SOON, unread=1), Next(Step.CONFIRM, SOON)),
    ("due, work to confirm soon", held(Standing.DUE, confirmed_to=SOON), Next(Step.CONFIRM, SOON)),
    ("a procedure changed", held(Standing.CURRENT, **READ_BY, unread=1), Next(Step.READ_CHANGED, SOON)),
    ("a procedure changed and read", held(Standing.DUE, owed_by=SOON), Next(Step.ANSWER, SOON)),
    ("a procedure overdue", held(Standing.PROCEDURE_OVERDUE, **READ_BY), Next(Step.READ_CHANGED, SOON)),
    ("the earlier day goes first", held(Standing.CURRENT, **READ_BY, confirmed_to=FREE), Next(Step.CONFIRM, FREE)),
    ("reading first on one day", held(Standing.CURRENT, **READ_BY, confirmed_to=SOON), Next(Step.READ_CHANGED, SOON)),
    ("current, paper missed early", held(Standing.CURRENT, free_on=FREE), Next(Step.WAIT, FREE)),
    ("current, renewing early", held(Standing.CURRENT, paper_passed=True), Next(Step.PRACTICAL)),
    ("due", held(Standing.DUE), Next(Step.SIT)),
    ("due, modules unread", held(Standing.DUE, unread=2), Next(Step.READ)),
    ("due, paper passed", held(Standing.DUE, paper_passed=True), Next(Step.PRACTICAL)),
    ("lapsed", held(Standing.LAPSED), Next(Step.SIT)),
    ("work not confirmed", held(Standing.WORK_NOT_CONFIRMED, confirmed_to=ON), Next(Step.SIT)),
    ("withdrawn", held(Standing.WITHDRAWN, unread=1), Next(Step.READ)),
    ("replaced", held(Standing.REPLACED), Next(Step.SIT)),
    ("suspended", held(Standing.SUSPENDED, unread=3, paper_passed=True), Next(Step.ASK)),
    ("not yet valid", held(Standing.NOT_YET_VALID, valid_from=FREE), Next(Step.START, FREE)),
]


class TestNextStep:
    @pytest.mark.parametrize(("progress", "expected"), [row[1:] for row in TABLE], ids=[row[0] for row in TABLE])
    def test_is_as_in_the_table(self, progress: Progress, expected: Next) -> None:
        """One way leads to a first card and to its renewal; what stops the work goes first."""
        assert rules.next_step(progress, on=ON) == expected

    def test_table_knows_every_standing_step_and_practical(self) -> None:
        """A new word anywhere needs a row above."""
        assert {row[1].standing for row in TABLE} == {None, *Standing}
        assert {row[2].step for row in TABLE} == set(Step)
        assert {row[1].practical for row in TABLE} == set(Practical)


class TestConfirmSoon:
    @pytest.mark.parametrize(
        ("standing", "due", "last", "soon"),
        [
            (Standing.CURRENT, ON + timedelta(days=30), LATER, True),
            (Standing.CURRENT, ON + timedelta(days=31), LATER, False),
            (Standing.CURRENT, ON, LATER, True),
            # A scheme that merely warns leaves the card current after the due day.
            (Standing.CURRENT, ON - timedelta(days=1), LATER, True),
            (Standing.DUE, SOON, SOON, False),
            (Standing.DUE, SOON, SOON + timedelta(days=1), True),
            (Standing.WORK_NOT_CONFIRMED, ON - timedelta(days=1), LATER, False),
            (Standing.SUSPENDED, SOON, LATER, False),
            (None, SOON, LATER, False),
            (Standing.CURRENT, None, LATER, False),
            (Standing.CURRENT, SOON, None, False),
        ],
    )
    def test_is_asked_only_where_it_helps(
        self, standing: Standing | None, due: date | None, last: date | None, soon: bool
    ) -> None:
        """Thirty days ahead, both ends included; never for a stopped card or one that ends by then."""
        assert rules.confirm_soon(standing, confirmed_to=due, last_day=last, on=ON) is soon


class TestMostPressing:
    @pytest.mark.parametrize(
        ("steps", "place"),
        [
            ([], None),
            ([Step.NOTHING, Step.DECISION, Step.WAIT], None),
            ([Step.SIT, Step.READ, Step.GO_ON], 2),
            ([Step.NOTHING, Step.SIT, Step.READ], 2),
            ([Step.READ, Step.READ], 0),
        ],
    )
    def test_is_what_can_be_done_here_now(self, steps: list[Step], place: int | None) -> None:
        """An open paper before reading, reading before a new paper; the first of equals."""
        assert rules.most_pressing(steps) == place


class TestRunsOutWithin:
    @pytest.mark.parametrize(
        ("days", "within"),
        [(-1, None), (0, 30), (30, 30), (31, 60), (60, 60), (61, 90), (90, 90), (91, None)],
    )
    def test_is_the_shortest_span(self, days: int, within: int | None) -> None:
        """A card is listed once, under the nearest span; its last day still counts."""
        assert rules.runs_out_within(ON + timedelta(days=days), on=ON) == within
