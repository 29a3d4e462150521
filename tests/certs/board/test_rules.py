"""What a board comes to, over plain standings."""

import pytest

from certs.board import rules
from certs.cards.rules import Standing


class TestOrder:
    def test_names_every_standing_once(self) -> None:
        """No cell can hold what the counts leave out."""
        assert sorted(rules.ORDER, key=str) == sorted([None, *Standing], key=str)

    def test_puts_what_may_be_worked_under_first(self) -> None:
        """A reader meets the people who may work before those who may not."""
        assert [one for one in rules.ORDER if one and one.holds] == list(rules.ORDER[:2])


class TestInOrder:
    def test_leaves_out_what_does_not_occur(self) -> None:
        """From current to no card."""
        counts = {None: 2, Standing.LAPSED: 1, Standing.CURRENT: 2, Standing.DUE: 0}
        assert rules.in_order(counts) == ((Standing.CURRENT, 2), (Standing.LAPSED, 1), (None, 2))

    def test_is_empty_for_an_empty_board(self) -> None:
        """Nobody has no standing."""
        assert rules.in_order({}) == ()


class TestWalk:
    @pytest.mark.parametrize(
        ("people", "having", "walked"),
        [
            (100_000, 4_000, True),  # 625 steps fill a page of 25
            (100_000, 1_251, True),  # 1,998 steps
            (100_000, 1_250, False),  # 2,000
            (1_000_000, 5_001, True),  # 4,999 steps against 5,001
            (1_000_000, 5_000, False),
            (100_000, 0, False),
            (1_999, 0, True),  # at most everyone is met
            (2_000, 0, False),
        ],
    )
    def test_is_taken_where_it_is_short(self, people: int, having: int, walked: bool) -> None:
        """Through so many to the next, against one step for each."""
        assert rules.is_walked(people, having=having, page=25) is walked
