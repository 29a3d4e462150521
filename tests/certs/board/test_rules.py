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


class TestCounts:
    def test_counts_each_standing_in_order(self) -> None:
        """Only what occurs is counted, from current to no card."""
        cells = [None, Standing.LAPSED, Standing.CURRENT, None, Standing.CURRENT]
        assert rules.counts(cells) == ((Standing.CURRENT, 2), (Standing.LAPSED, 1), (None, 2))

    def test_is_empty_for_an_empty_board(self) -> None:
        """Nobody has no standing."""
        assert rules.counts([]) == ()


class TestKeeps:
    @pytest.mark.parametrize(
        ("row", "wanted", "kept"),
        [
            ((Standing.CURRENT, Standing.LAPSED), Standing.LAPSED, True),
            ((Standing.CURRENT, Standing.LAPSED), Standing.DUE, False),
            ((Standing.CURRENT, None), None, True),
            ((Standing.CURRENT,), None, False),
            ((), None, False),
        ],
    )
    def test_asks_for_the_standing_under_any_scheme(
        self, row: tuple[Standing | None, ...], wanted: Standing | None, kept: bool
    ) -> None:
        """One scheme with the standing keeps the person; no card is a standing like the others."""
        assert rules.keeps(row, wanted) is kept


class TestMayWork:
    @pytest.mark.parametrize("standing", [*Standing, None])
    def test_follows_the_card_rules(self, standing: Standing | None) -> None:
        """Exactly a current or due card lets a person work; a second scheme without a card takes nothing away."""
        assert rules.may_work([None, standing]) is (standing in {Standing.CURRENT, Standing.DUE})
