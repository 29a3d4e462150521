"""Noise against 29 CFR 1910.95 and NIOSH 98-126."""

import pytest

from training.calc import noise
from training.calc.catalogue import compute

HOUR = 3600.0
SHIFT = ((100.0, 0.5 * HOUR), (90.0, 2 * HOUR), (85.0, 5.5 * HOUR))


class TestAllowedTime:
    """Table G-16a of 29 CFR 1910.95 (Appendix A read, primary)."""

    @pytest.mark.parametrize(
        ("level", "hours"), [(90, 8), (95, 4), (100, 2), (105, 1), (110, 0.5), (115, 0.25), (80, 32), (85, 16)]
    )
    def test_osha(self, level: float, hours: float) -> None:
        """Exact rows."""
        assert noise.osha_allowed(level) / HOUR == pytest.approx(hours, rel=1e-12)

    def test_formula_against_misprints(self) -> None:
        """Copies print 21.1 or 21.2 h at 83 dBA; the formula gives 21.11."""
        assert noise.osha_allowed(83) / HOUR == pytest.approx(21.112126572366307, rel=1e-12)

    @pytest.mark.parametrize(("level", "hours"), [(85, 8), (88, 4), (91, 2), (94, 1), (100, 0.25)])
    def test_niosh(self, level: float, hours: float) -> None:
        """NIOSH 98-126 (read second hand)."""
        assert noise.niosh_allowed(level) / HOUR == pytest.approx(hours, rel=1e-12)


class TestDose:
    """A mixed shift, worked by hand."""

    def test_rules_disagree(self) -> None:
        """Legal under one rule, three and a half times over under the other."""
        assert noise.dose(SHIFT, noise.OSHA_LIMIT) == pytest.approx(0.50, rel=1e-12)
        hearing = noise.dose(SHIFT, noise.OSHA_HEARING)
        assert hearing == pytest.approx(0.84375, rel=1e-12)
        assert noise.osha_average(hearing) == pytest.approx(88.77441098278715, rel=1e-12)
        strict = noise.dose(SHIFT, noise.NIOSH)
        assert strict == pytest.approx(3.4812005259841, rel=1e-12)
        assert noise.niosh_average(strict) == pytest.approx(90.41729040469033, rel=1e-12)

    def test_parts(self) -> None:
        """Half an hour at 100 dBA is a quarter of the 2 h of Table G-16a, and twice the 0.25 h of NIOSH 98-126."""
        assert noise.osha_part(100, 0.5 * HOUR) == pytest.approx(0.25, rel=1e-12)
        assert noise.niosh_part(100, 0.5 * HOUR) == pytest.approx(2, rel=1e-12)

    def test_action_level(self) -> None:
        """Half the dose is 85 dBA (29 CFR 1910.95)."""
        assert noise.osha_average(0.5) == pytest.approx(85, abs=0.01)

    def test_wrong_answers(self) -> None:
        """102 dBA for a quarter of an hour and 92 dBA for three, in per cent."""
        times = {"first_time": 0.25 * HOUR, "second_time": 3 * HOUR}
        values = times | {"first_level": 102.0, "second_level": 92.0}
        found = [
            round(100 * compute(f"noise.osha_dose{name}", inputs))
            for name, inputs in [("", values), (".niosh", values), (".time_only", times), (".averaged", values)]
        ]
        assert found == [66, 348, 41, 60]
