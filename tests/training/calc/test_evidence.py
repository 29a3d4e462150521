"""Evidence: more bonds prove more."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import evidence
from training.calc.ranges import OutOfRange

CONFIDENCE = st.sampled_from([0.8, 0.9, 0.95, 0.99])
BONDS = st.integers(1, 300)


class TestSuccessRun:
    """Runs without a bad bond."""

    @given(CONFIDENCE, st.floats(0.6, 0.99))
    def test_proves_what_was_asked(self, confidence: float, reliability: float) -> None:
        """The run demonstrates at least the share, one bond fewer does not."""
        bonds = int(evidence.success_run(confidence, reliability))
        assert evidence.demonstrated(bonds, confidence) >= reliability - 1e-9
        assert bonds == 1 or evidence.demonstrated(bonds - 1, confidence) < reliability + 1e-9

    @given(CONFIDENCE, st.floats(0.6, 0.98), st.integers(0, 5))
    def test_allowing_a_bad_bond_takes_more(self, confidence: float, reliability: float, failures: int) -> None:
        """Each bad bond allowed lengthens the run."""
        fewer, more = (evidence.sample_size(confidence, reliability, c) for c in (failures, failures + 1))
        assert fewer < more


class TestIntervals:
    """Intervals of a share."""

    @given(BONDS, st.integers(0, 300), CONFIDENCE)
    def test_hold_the_share_seen(self, bonds: int, good: int, confidence: float) -> None:
        """Exact and score interval lie round it, within 0 and 1."""
        seen = min(good, bonds)
        for low, high in (
            evidence.exact_interval(seen, bonds, confidence),
            evidence.wilson_interval(seen, bonds, confidence),
        ):
            assert 0 <= low <= seen / bonds + 1e-12
            assert seen / bonds - 1e-12 <= high <= 1

    @given(BONDS, CONFIDENCE)
    def test_bound_of_an_unbroken_run(self, bonds: int, confidence: float) -> None:
        """Is what the run demonstrates."""
        bound = evidence.lower_bound(bonds, bonds, confidence)
        assert bound == pytest.approx(evidence.demonstrated(bonds, confidence), rel=1e-9)

    def test_refuses_more_good_than_bonds(self) -> None:
        """The sentence says how many there were."""
        for interval in (evidence.exact_interval, evidence.wilson_interval):
            with pytest.raises(OutOfRange, match="at most 20, the number of bonds"):
                interval(21, 20, 0.95)


class TestPassing:
    """Chance of passing."""

    @given(st.integers(1, 60), st.integers(0, 5), st.floats(0, 1), st.floats(0, 1))
    def test_worse_crews_pass_less(self, bonds: int, allowed: int, one: float, other: float) -> None:
        """The chance falls with the share of bad bonds."""
        good, bad = sorted((one, other))
        found = [evidence.pass_probability(bonds, allowed, share) for share in (good, bad)]
        assert found[0] >= found[1] - 1e-12

    @given(st.floats(0, 1), st.integers(1, 9))
    def test_a_further_try_never_lowers_it(self, chance: float, tries: int) -> None:
        """More tries, more chance."""
        assert evidence.retest_risk(chance, tries) <= evidence.retest_risk(chance, tries + 1) + 1e-12
