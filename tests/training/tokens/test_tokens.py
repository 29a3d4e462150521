"""Secrets of which a hash is kept, and counting within spans of time."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.core.cache import cache

from training.tokens import rules
from training.tokens.access import count, counted

AT = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


class TestSecrets:
    def test_digest_is_sha_256(self) -> None:
        """FIPS 180-4, the example message abc."""
        kept = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        assert rules.digest("abc") == kept
        assert rules.fits("abc", kept)
        assert not rules.fits("abd", kept)

    def test_fresh_ones_are_128_bits(self) -> None:
        """Each another; RFC 4648, section 5: 16 bytes are 22 letters without padding."""
        many = {rules.fresh() for _one in range(200)}
        assert len(many) == 200
        assert {len(one) for one in many} == {22}


class TestSpans:
    @pytest.mark.parametrize(("second", "left"), [(0, 60), (1, 59), (59, 1), (60, 60)])
    def test_lie_end_to_end(self, second: int, left: int) -> None:
        """A full minute at its start, one second at its end."""
        number, rest = rules.span(AT + timedelta(seconds=second, microseconds=999_999), 60)
        assert (number, rest) == (rules.span(AT, 60)[0] + second // 60, left)


@pytest.mark.django_db
class TestCounting:
    def test_ends_with_its_span_however_often_it_is_asked(self) -> None:
        """Somebody who asks all day is not stopped for what was asked an hour ago."""
        cache.clear()
        with time_machine.travel(AT, tick=False) as clock:
            for minute in range(12):
                found = [count("any", seconds=60, at=AT + timedelta(minutes=minute)) for _ask in range(3)]
                assert found == [1, 2, 3]
                clock.shift(timedelta(minutes=1))

    def test_lasts_for_its_whole_span(self) -> None:
        """Also where the span is longer than the cache keeps things by itself."""
        cache.clear()
        with time_machine.travel(AT, tick=False) as clock:
            count("any", seconds=900, at=AT)
            clock.shift(timedelta(seconds=899))
            assert counted("any", seconds=900, at=AT + timedelta(seconds=899)) == 1
            assert counted("other", seconds=900, at=AT) == 0
