"""Hot work: the stricter rule."""

from hypothesis import given
from hypothesis import strategies as st

from training.calc import hotwork

WATCH = st.floats(0, 14_400)


class TestWatch:
    """Fire watch."""

    @given(WATCH, WATCH)
    def test_keeps_both_rules(self, rule: float, site: float) -> None:
        """The watch is as long as either asks, and no longer than the longer."""
        found = hotwork.watch(rule, site)
        assert found >= rule
        assert found >= site
        assert found in {rule, site}


class TestDistance:
    """Clear distance."""

    @given(st.floats(0, 50))
    def test_moves_just_clear(self, distance: float) -> None:
        """What is near ends on the radius, what is far stays."""
        moved = distance + hotwork.distance_short(distance)
        assert abs(moved - max(distance, hotwork.clear_radius())) < 1e-9
