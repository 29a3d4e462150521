"""Counting what a load did."""

from training.content.tally import Tally


class TestTally:
    def test_adds_each_count_to_its_own(self):
        assert Tally(1, 2, 3, 4) + Tally(10, 20, 30, 40) == Tally(11, 22, 33, 44)

    def test_says_all_four_counts(self):
        assert str(Tally(new=2, revised=1, unchanged=41)) == "2 new, 1 revised, 0 retired, 41 unchanged"
