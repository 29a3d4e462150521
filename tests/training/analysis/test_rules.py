"""Which sample sizes may say what, at every threshold."""

from fractions import Fraction

import pytest

from training.analysis import rules
from training.analysis.rules import Answered, Choices, Flag, Sample
from training.statistics.intervals import correlation_limits
from training.statistics.reliability import alpha_interval, error_at, kr21


def answers(right: int, wrong: int, *, rest: tuple[float, float] = (0.6, 0.4)) -> list[Answered]:
    """Uses of a question; those who had it right earned `rest[0]` elsewhere, give or take a tenth, others `rest[1]`."""
    shares = [(1.0, rest[0])] * right + [(0.0, rest[1])] * wrong
    return [Answered(share, other + (0.1 if number % 2 else -0.1)) for number, (share, other) in enumerate(shares)]


def flags(found: rules.Behaviour) -> list[Flag]:
    """The flags alone."""
    return [one.flag for one in found.raised]


class TestSample:
    @pytest.mark.parametrize(
        ("uses", "sample"),
        [(1, Sample.FEW), (29, Sample.FEW), (30, Sample.PROVISIONAL), (99, Sample.PROVISIONAL), (100, Sample.ENOUGH)],
    )
    def test_grows_at_30_and_100(self, uses: int, sample: Sample) -> None:
        """Below 30 nothing, below 100 provisional."""
        assert rules.sample(uses) is sample


class TestFewUses:
    def test_say_counts_with_limits(self) -> None:
        """Seven of ten lies between .40 and .89 (Wilson), and nothing is flagged."""
        found = rules.behaviour(answers(7, 3, rest=(0.2, 0.8)), safety=False)
        assert (found.uses, found.right, found.facility, found.rest) == (10, 7, 0.7, None)
        assert (round(found.limits.low, 2), round(found.limits.high, 2)) == (0.40, 0.89)
        assert found.raised == ()

    def test_say_that_nobody_was_right_from_five(self) -> None:
        """Four misses may be chance."""
        assert flags(rules.behaviour(answers(0, 4), safety=False)) == []
        assert flags(rules.behaviour(answers(0, 5), safety=False)) == [Flag.NOBODY_RIGHT]

    def test_count_part_of_a_mark(self) -> None:
        """Half a mark counts for facility and is not wholly right."""
        found = rules.behaviour([Answered(0.5, 0.5), Answered(1.0, 0.5)], safety=False)
        assert (found.facility, found.right) == (0.75, 1)


class TestProvisional:
    def test_shows_a_correlation_only_when_surely_low(self) -> None:
        """Between 30 and 99 uses a fair correlation is not shown; one whose upper limit is below .20 is, flagged."""
        assert rules.behaviour(answers(20, 20), safety=False).rest is None
        low = rules.behaviour(answers(40, 40, rest=(0.49, 0.50)), safety=False)
        assert flags(low) == [Flag.LOW]
        assert low.rest == pytest.approx(-0.05, abs=0.001)
        turned = rules.behaviour(answers(20, 20, rest=(0.4, 0.6)), safety=False)
        assert flags(turned) == [Flag.NEGATIVE]
        assert turned.rest is not None and turned.rest < 0

    def test_says_nothing_of_hard_or_easy(self) -> None:
        """99 uses are not enough."""
        assert flags(rules.behaviour(answers(5, 94), safety=False)) == []
        assert flags(rules.behaviour(answers(99, 0), safety=False)) == []


class TestEnough:
    def test_hard_only_when_the_upper_limit_is(self) -> None:
        """20 of 100 reaches .289, 21 of 100 reaches .300 (Wilson)."""
        assert flags(rules.behaviour(answers(20, 80), safety=False)) == [Flag.HARD]
        assert flags(rules.behaviour(answers(22, 78), safety=False)) == []

    def test_easy_only_when_the_lower_limit_is_and_never_for_safety(self) -> None:
        """100 of 100 starts at .963, 99 of 100 at .946 (Wilson)."""
        assert flags(rules.behaviour(answers(100, 0), safety=False)) == [Flag.EASY]
        assert flags(rules.behaviour(answers(100, 0), safety=True)) == []
        assert flags(rules.behaviour(answers(99, 1), safety=False)) == []

    def test_of_a_constant_shows_no_correlation(self) -> None:
        """Everyone right tells nothing."""
        assert rules.behaviour(answers(100, 0), safety=True).rest is None

    def test_correlation_is_shown_and_flagged_by_its_upper_limit(self) -> None:
        """A good one is shown, a low one asks, one below nothing asks louder."""
        good = rules.behaviour(answers(60, 60), safety=False)
        assert good.rest == pytest.approx(0.7071, abs=1e-4) and not good.raised
        assert flags(rules.behaviour(answers(60, 60, rest=(0.5, 0.5)), safety=False)) == [Flag.LOW]
        assert flags(rules.behaviour(answers(60, 60, rest=(0.4, 0.6)), safety=False)) == [Flag.NEGATIVE]


class TestOptions:
    CHOICES = Choices(("Grind", "Paint", "Wait"), "Grind")

    def chosen(self, uses: int, better: str) -> list[Answered]:
        """Half took Grind and half Paint; those who took `better` did better elsewhere."""
        names = ["Grind", "Paint"] * (uses // 2)
        return [
            Answered(float(name == "Grind"), (0.6 if name == better else 0.4) + 0.05 * (number // 2 % 2), name)
            for number, name in enumerate(names)
        ]

    def test_nobody_takes_asks_for_another(self) -> None:
        """An option under 5 % does no work."""
        found = rules.behaviour(self.chosen(100, "Grind"), safety=False, choices=self.CHOICES)
        assert found.raised == (rules.Raised(Flag.DEAD_OPTION, "Wait"),)

    def test_better_than_the_key_asks_whether_the_key_is_right(self) -> None:
        """The able chose Paint, and the ablest most of all."""
        found = rules.behaviour(self.chosen(100, "Paint"), safety=False, choices=self.CHOICES)
        assert rules.Raised(Flag.KEY_BEATEN, "Paint") in found.raised

    def test_a_little_better_than_the_key_asks_more_softly(self) -> None:
        """Few chose Wait, all of them able; among the ablest the key is still ahead."""
        answered = [Answered(1.0, 0.3 + 0.006 * n, "Grind") for n in range(90)]
        answered += [Answered(0.0, 0.8, "Wait")] * 6 + [Answered(0.0, 0.2, "Paint")] * 6
        found = rules.behaviour(answered, safety=False, choices=self.CHOICES)
        raised = {one.flag for one in found.raised if one.option == "Wait"}
        assert raised == {Flag.CHECK_KEY}

    def test_say_nothing_before_100_uses(self) -> None:
        """98 uses are provisional."""
        found = rules.behaviour(self.chosen(98, "Grind"), safety=False, choices=self.CHOICES)
        assert found.raised == ()


def papers(count: int, k: int = 20) -> list[list[float]]:
    """Papers whose totals run from 8 to 19 of 20 by turns."""
    return [[1.0] * (8 + number % 12) + [0.0] * (k - 8 - number % 12) for number in range(count)]


class TestTrust:
    def test_waits_for_200_papers(self) -> None:
        """At 199 nothing is said."""
        assert rules.trust(papers(199), same=False, cut=16) is None
        assert rules.trust(papers(200), same=False, cut=16) is not None

    def test_of_drawn_questions_is_formula_21(self) -> None:
        """Right and wrong drawn anew for each person; the error at the cut is Lord's: 1.84 marks at 16 of 20."""
        marks = papers(240)
        totals = [sum(one) for one in marks]
        mean = sum(totals) / 240
        found = rules.trust(marks, same=False, cut=16)
        assert found is not None and found.decisions is not None
        assert found.formula == 21
        assert found.reliability == pytest.approx(kr21(mean, sum((x - mean) ** 2 for x in totals) / 240, 20))
        assert found.error == error_at(16, 20) == pytest.approx(1.8353, abs=1e-4)
        assert found.decisions.cut == 16
        assert found.limits == alpha_interval(found.reliability, people=240, items=20)

    def test_of_the_same_questions_is_formula_20(self) -> None:
        """The columns are questions."""
        found = rules.trust(papers(240), same=True, cut=16)
        assert found is not None and found.formula == 20

    def test_of_equal_marks_cannot_be_told(self) -> None:
        """Nobody can be ranked."""
        assert rules.trust([[1.0, 0.0]] * 200, same=False, cut=2) is None

    def test_without_reliability_says_nothing_of_decisions(self) -> None:
        """Totals that vary less than chance have a reliability below 0."""
        marks = [[1.0, 1.0, 0.0, 0.0], [1.0, 1.0, 1.0, 0.0]] * 100
        found = rules.trust(marks, same=False, cut=3)
        assert found is not None and found.reliability < 0 and found.decisions is None


class TestPicture:
    def test_counts_shares_into_bands(self) -> None:
        """An edge belongs to the band above it, full marks to the last."""
        shares = [0.0, 0.05, 0.1, float(Fraction(7, 10)), 0.999, 1.0]
        assert rules.picture(shares) == (2, 1, 0, 0, 0, 0, 0, 1, 0, 2)


class TestDiscrimination:
    def test_comes_with_its_limits_from_100_uses(self) -> None:
        """Correlation with Fisher's limits, and the best 27 % against the lowest; below 100 neither."""
        found = rules.behaviour(answers(60, 60), safety=False)
        assert found.rest is not None and found.rest_limits == correlation_limits(found.rest, 120)
        assert found.upper_lower == pytest.approx(1.0)
        few = rules.behaviour(answers(30, 30), safety=False)
        assert (few.rest_limits, few.upper_lower) == (None, None)

    def test_counts_the_question_once_among_the_others(self) -> None:
        """On a paper of many questions the rest decides who is best: here it tells nothing of the question."""
        answered = [Answered(float(n % 2), 0.2 + 0.012 * (n // 2 % 50), "", 19) for n in range(200)]
        found = rules.behaviour(answered, safety=False)
        assert found.upper_lower is not None and abs(found.upper_lower) < 0.35

    def test_of_a_constant_is_not_said(self) -> None:
        """Everyone right tells nothing."""
        assert rules.behaviour(answers(100, 0), safety=True).upper_lower is None


class TestOptionBands:
    def test_run_from_the_lowest_marks_to_the_best(self) -> None:
        """Those above the middle took the key, those below Paint."""
        answered = [Answered(float(n >= 60), n / 120, "Grind" if n >= 60 else "Paint") for n in range(120)]
        found = rules.behaviour(answered, safety=False, choices=TestOptions.CHOICES).options
        assert found is not None and [row.count for row in found.rows] == [60, 60, 0]
        assert [band.people for band in found.bands] == [30, 30, 30, 30]
        assert [band.shares[0] for band in found.bands] == [0.0, 0.0, 1.0, 1.0]

    def test_wait_for_100_uses(self) -> None:
        """Fewer are too few for bands."""
        answered = [Answered(1.0, n / 99, "Grind") for n in range(99)]
        assert rules.behaviour(answered, safety=False, choices=TestOptions.CHOICES).options is None


class TestTimes:
    def test_wait_for_30_papers(self) -> None:
        """Below that nothing, below 100 provisional."""
        assert rules.times([10.0] * 29) is None
        found = rules.times([float(n) for n in range(1, 31)])
        assert found is not None and found.sample is Sample.PROVISIONAL
        found = rules.times([float(n) for n in range(101)])
        assert found == rules.Times(50.0, 90.0, Sample.ENOUGH)
