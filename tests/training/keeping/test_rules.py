"""Which SQLite is mended, which copies stay, when the site serves."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.keeping import rules
from training.keeping.rules.vitals import COPY_WITHIN, MAIL_WITHIN, ROOM

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)


class TestMended:
    # Source: sqlite.org, "Write-Ahead Logging": the WAL-reset bug stands in 3.7.0 to 3.51.2, and was mended as well
    # in 3.50.7 and 3.44.6.
    @pytest.mark.parametrize("version", ["3.51.3", "3.52.0", "3.53.4", "3.50.7", "3.44.6", "4.0.0"])
    def test_is_mended(self, version: str) -> None:
        assert rules.is_mended(rules.numbered(version))

    @pytest.mark.parametrize("version", ["3.7.0", "3.40.1", "3.44.5", "3.45.0", "3.50.6", "3.51.0", "3.51.2"])
    def test_is_not(self, version: str) -> None:
        assert not rules.is_mended(rules.numbered(version))

    def test_a_version_is_numbers(self) -> None:
        with pytest.raises(ValueError, match="invalid literal"):
            rules.numbered("three")


class TestKeptNames:
    def test_keeps_days_weeks_and_months(self) -> None:
        """A copy a night for two years: the last 14 nights, then a copy a week, then one a month."""
        made = {f"{n:04}": NOW - timedelta(days=n) for n in range(730)}
        stays = rules.kept_names(made, rules.Keep(days=14, weeks=8, months=12))
        assert {f"{n:04}" for n in range(14)} <= stays
        # A week of ISO 8601 ends on Sunday: the newest night of each older week.
        sundays = [name for name in made if made[name].isoweekday() == 7]
        assert set(sundays[:7]) <= stays
        assert not {name for name in sundays[7:] if made[name].day < 20} & stays
        months = {(made[name].year, made[name].month) for name in stays}
        assert months == {(2026, m) for m in range(1, 12)} | {(2025, 12)}

    @given(st.dictionaries(st.text(min_size=1, max_size=5), st.datetimes(timezones=st.just(UTC)), min_size=1))
    def test_the_newest_always_stays(self, made: dict[str, datetime]) -> None:
        stays = rules.kept_names(made, rules.Keep(days=0, weeks=0, months=0))
        assert [made[name] for name in stays] == [max(made.values())]

    def test_of_nothing_nothing_stays(self) -> None:
        assert rules.kept_names({}, rules.Keep()) == frozenset()


class TestUnknownSteps:
    def test_names_what_this_program_lacks(self) -> None:
        applied = {"training": ["0001_initial", "0099_later"], "foreign": ["0001_initial"]}
        found = rules.unknown_steps(applied, {"training": ["0001_initial"]})
        assert found == ["foreign.0001_initial", "training.0099_later"]


class TestVitals:
    def judged(self, **changed: object) -> dict[str, bool]:
        facts = {
            "wrote": True,
            "mended": True,
            "free": ROOM,
            "copied": NOW - COPY_WITHIN,
            "waits": NOW - MAIL_WITHIN,
        } | changed
        return {part.name: part.good for part in rules.parts(rules.Vitals(**facts), at=NOW)}  # type: ignore[arg-type]

    def test_all_is_well_at_the_very_limits(self) -> None:
        assert set(self.judged().values()) == {True}

    @pytest.mark.parametrize(
        ("changed", "name"),
        [
            ({"wrote": False}, "database"),
            ({"mended": False}, "library"),
            ({"free": ROOM - 1}, "room"),
            ({"copied": NOW - COPY_WITHIN - timedelta(seconds=1)}, "copy"),
            ({"copied": None}, "copy"),
            ({"waits": NOW - MAIL_WITHIN - timedelta(seconds=1)}, "mail"),
        ],
    )
    def test_names_the_part(self, changed: dict[str, object], name: str) -> None:
        assert [part for part, good in self.judged(**changed).items() if not good] == [name]

    def test_a_late_copy_alone_sends_nobody_away(self) -> None:
        assert rules.serves(rules.parts(rules.Vitals(True, True, ROOM, None), at=NOW))
        assert not rules.serves(rules.parts(rules.Vitals(False, True, ROOM, NOW), at=NOW))
