"""Fire watch and distance against 29 CFR 1910.252 and NFPA 51B."""

import pint
import pytest

from training.calc import hotwork
from training.calc.catalogue import compute

LAST = 15 * 3600.0 + 40 * 60.0  # 15:40


def clock(seconds: float) -> str:
    return f"{int(seconds) // 3600:02d}:{int(seconds) % 3600 // 60:02d}"


class TestWatch:
    """29 CFR 1910.252(a)(2): half an hour (read second hand); NFPA 51B: an hour from 2019 (from memory)."""

    @pytest.mark.parametrize(("edition", "minutes"), [(2009, 30), (2014, 30), (2019, 60), (2024, 60)])
    def test_editions(self, edition: int, minutes: int) -> None:
        """Minutes by edition."""
        assert hotwork.nfpa_watch(edition) == 60 * minutes

    def test_wrong_answers(self) -> None:
        """Last shot 15:40 on a site that keeps NFPA 51B of 2019."""
        values = {"last_shot": LAST, "rule_watch": 1800.0, "site_watch": hotwork.nfpa_watch(2019)}
        assert clock(compute("hotwork.watch_end", values)) == "16:40"
        assert clock(compute("hotwork.watch_end.half_hour", {"last_shot": LAST})) == "16:10"
        assert clock(compute("hotwork.watch_end.at_once", {"last_shot": LAST})) == "15:40"


class TestDistance:
    """35 ft (29 CFR 1910.252(a)(2), read second hand; NFPA 51B says 11 m beside it)."""

    def test_radius(self) -> None:
        """10.668 m by pint."""
        units = pint.UnitRegistry()
        assert hotwork.clear_radius() == pytest.approx(units.Quantity(35, "foot").to("meter").magnitude, rel=1e-12)
        assert round(hotwork.clear_radius()) == 11

    def test_wrong_answers(self) -> None:
        """10.7 ft, and 35 m."""
        feet = compute("hotwork.clear_radius.metres_as_feet", {}) / 0.3048
        assert feet == pytest.approx(10.7, abs=0.05)
        assert compute("hotwork.clear_radius.feet_as_metres", {}) == 35
