"""What a panel is asked and what its estimates come to."""

from fractions import Fraction

import pytest

from tests.training.panels.conftest import ESTIMATES
from training.panels import rules
from training.panels.rules import Extent, Stage
from training.questions.papers import Cell, Pooled

CELLS = (Cell(topic="safety", level="know", count=2), Cell(topic="setup", level="apply", count=3))
POOL = tuple(Pooled(key=f"s{n}", topic="safety", level="know", anchor=n == 4) for n in range(5)) + tuple(
    Pooled(key=f"t{n}", topic="setup", level="apply") for n in range(8)
)


class TestStage:
    def test_follows_the_rounds(self) -> None:
        """One after the other."""
        assert rules.stage(first_closed=False, second_closed=False) is Stage.FIRST
        assert rules.stage(first_closed=True, second_closed=False) is Stage.SECOND
        assert rules.stage(first_closed=True, second_closed=True) is Stage.CLOSED


class TestWaits:
    def test_for_who_has_not_finished_the_open_round(self) -> None:
        """In the second round only for those who finished the first; when closed for nobody."""
        assert rules.waits(Stage.FIRST, first=False, second=False)
        assert not rules.waits(Stage.FIRST, first=True, second=False)
        assert rules.waits(Stage.SECOND, first=True, second=False)
        assert not rules.waits(Stage.SECOND, first=False, second=False)
        assert not rules.waits(Stage.SECOND, first=True, second=True)
        assert not rules.waits(Stage.CLOSED, first=True, second=False)


class TestSample:
    def test_takes_as_many_as_the_paper(self) -> None:
        """Cell by cell, the anchor among them, none twice."""
        keys = rules.sample(CELLS, POOL, extent=Extent.PAPER, seed="7")
        assert len(keys) == len(set(keys)) == 5
        assert keys[0] == "s4" and keys[1][0] == "s" and {key[0] for key in keys[2:]} == {"t"}

    def test_takes_twice_as_many_or_all(self) -> None:
        """Never more than there are."""
        assert len(rules.sample(CELLS, POOL, extent=Extent.TWICE, seed="7")) == 4 + 6
        assert set(rules.sample(CELLS, POOL, extent=Extent.ALL, seed="7")) == {one.key for one in POOL}
        assert len(rules.sample(CELLS, POOL[:6], extent=Extent.PAPER, seed="7")) == 3

    def test_follows_the_seed_alone(self) -> None:
        """The order of the pool does not matter, another seed draws anew."""
        keys = rules.sample(CELLS, POOL, extent=Extent.PAPER, seed="7")
        assert keys == rules.sample(CELLS, POOL[::-1], extent=Extent.PAPER, seed="7")
        drawn = {rules.sample(CELLS, POOL, extent=Extent.PAPER, seed=str(seed)) for seed in range(9)}
        assert len(drawn) > 1

    def test_names_cells_without_a_question(self) -> None:
        """A panel cannot judge a cell that holds nothing."""
        assert rules.empty_cells(CELLS, POOL) == ()
        assert rules.empty_cells(CELLS, POOL[:5]) == (CELLS[1],)


class TestPlaces:
    def test_give_an_anchor_its_own_place_and_the_mean_to_the_others(self) -> None:
        """Safety: the anchor 0.9 and the mean of 0.4 and 0.6; setup: three times the mean of 0.5 and 0.8."""
        asked = (POOL[0], POOL[1], POOL[4], POOL[5], POOL[6])
        given = {"s0": 40, "s1": 60, "s4": 90, "t0": 50, "t1": 80}
        assert rules.places(CELLS, asked, given) == pytest.approx([0.9, 0.5, 0.65, 0.65, 0.65])

    def test_of_anchors_alone(self) -> None:
        """With one anchor for two places the other place expects as much."""
        assert rules.places(CELLS[:1], (POOL[4],), {"s4": 90}) == pytest.approx([0.9, 0.9])


class TestResult:
    CELLS = (Cell(topic="setup", level="apply", count=5),)
    ASKED = POOL[5:10]

    def judged(self, judges: int) -> list[dict[str, int]]:
        """The estimates of so many judges by key."""
        keys = [one.key for one in self.ASKED]
        return [dict(zip(keys, row, strict=True)) for row in ESTIMATES[:judges]]

    def test_is_the_mean_of_sums_rounded_up(self) -> None:
        """Worked by hand: mean 91/30, standard error root(114/900/6), so four marks (Angoff 1971; Cizek and Bunch)."""
        found = rules.result(self.CELLS, self.ASKED, self.judged(6))
        assert found.cut is not None and found.missing == 0
        assert found.totals == (2.5, 2.8, 3.0, 3.1, 3.3, 3.5)
        assert found.cut.marks == pytest.approx(float(Fraction(91, 30)))
        assert found.cut.error == pytest.approx((114 / 900 / 6) ** 0.5)
        assert found.cut.whole == 4

    def test_of_more_questions_than_places_is_their_mean_times_the_places(self) -> None:
        """Five questions looked at for three places: three fifths of each sum."""
        found = rules.result((Cell(topic="setup", level="apply", count=3),), self.ASKED, self.judged(6))
        assert found.cut is not None and found.cut.marks == pytest.approx(91 / 30 * 3 / 5)

    def test_of_four_judges_is_none(self) -> None:
        """Their marks are shown, no cut is."""
        found = rules.result(self.CELLS, self.ASKED, self.judged(4))
        assert (found.cut, found.missing, found.totals) == (None, 1, (2.5, 2.8, 3.0, 3.1))

    def test_counts_only_who_finished(self) -> None:
        """One gap and the judge is left out."""
        judged = dict(enumerate(self.judged(2)))
        del judged[1]["t0"]
        assert list(rules.finished(judged, self.ASKED)) == [0]


class TestTopics:
    def test_add_up_to_the_whole(self) -> None:
        """Safety 0.9 + 0.5 and 0.7 + 0.3, setup three times 0.5 and three times 0.7: means of two judges."""
        asked = (POOL[4], POOL[0], POOL[5])
        found = rules.topics(CELLS, asked, [{"s4": 90, "s0": 50, "t0": 50}, {"s4": 70, "s0": 30, "t0": 70}])
        assert [(one.topic, round(one.marks, 9), one.of) for one in found] == [("safety", 1.2, 2), ("setup", 1.8, 3)]


class TestSpread:
    def test_is_lowest_middle_highest(self) -> None:
        """The middle of an even count lies between the two."""
        assert rules.spread([70, 40, 60, 90]) == rules.Spread(40, 65, 90)


class TestPassing:
    @pytest.mark.parametrize("marks", range(1, 101))
    def test_lets_the_whole_mark_pass_and_no_lower(self, marks: int) -> None:
        """Read back as the paper's file is: so many marks pass, half a mark less does not."""
        for whole in range(1, marks + 1):
            share = Fraction(rules.passing(whole, marks))
            assert whole - Fraction(1, 50) <= share * marks <= whole

    def test_is_short_where_it_can_be(self) -> None:
        """16 of 20 is 0.8."""
        assert rules.passing(16, 20) == "0.8"
        assert rules.passing(16, 21) == "0.7619"
        assert rules.passing(20, 20) == "1"
