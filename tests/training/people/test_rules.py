"""What each role may see and change, and the days of dated rows."""

import secrets
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.password_validation import validate_password

from training.people import rules
from training.people.rules import Role

D1, D2, D3, D4 = (date(2026, 11, day) for day in (1, 2, 3, 4))


class TestLocalDay:
    """Offsets of the IANA zone database: London UTC+1 in July, Anchorage UTC-8 in July, UTC-9 in November."""

    @pytest.mark.parametrize(
        ("at", "zone", "day"),
        [
            (datetime(2026, 7, 1, 23, 30, tzinfo=UTC), "Europe/London", date(2026, 7, 2)),
            (datetime(2026, 11, 1, 23, 30, tzinfo=UTC), "Europe/London", date(2026, 11, 1)),
            (datetime(2026, 7, 2, 7, 59, tzinfo=UTC), "America/Anchorage", date(2026, 7, 1)),
            (datetime(2026, 11, 2, 9, 0, tzinfo=UTC), "America/Anchorage", date(2026, 11, 2)),
        ],
    )
    def test_is_the_day_on_the_calendar_of_the_zone(self, at, zone, day):
        assert rules.local_day(at, ZoneInfo(zone)) == day


class TestInForce:
    @pytest.mark.parametrize(
        ("from_on", "until_on", "on", "expected"),
        [
            (D2, D3, D1, False),
            (D2, D3, D2, True),
            (D2, D3, D3, True),
            (D2, D3, D4, False),
            (D2, None, D4, True),
            (D2, None, D1, False),
            (D2, D2, D2, True),
        ],
    )
    def test_counts_both_end_days(self, from_on, until_on, on, expected):
        assert rules.in_force(from_on, until_on, on=on) is expected


class TestOverlap:
    @pytest.mark.parametrize(
        ("one", "other", "expected"),
        [
            ((D1, D2), (D3, D4), False),
            ((D1, D2), (D2, D4), True),
            ((D3, D4), (D1, D2), False),
            ((D1, None), (D4, None), True),
            ((D4, None), (D1, D3), False),
            ((D1, D3), (D4, None), False),
            ((D1, D4), (D2, D3), True),
        ],
    )
    def test_is_a_shared_day_whichever_comes_first(self, one, other, expected):
        assert rules.overlap(*one, *other) is expected
        assert rules.overlap(*other, *one) is expected


class TestSight:
    @pytest.mark.parametrize("role", list(Role))
    def test_only_the_bodys_trainers_and_administrators_see_every_employer(self, role):
        assert rules.sees_every_employer({role}, of_the_body=True) is (role in {Role.TRAINER, Role.ADMINISTRATOR})
        assert not rules.sees_every_employer({role}, of_the_body=False)

    @pytest.mark.parametrize("role", list(Role))
    def test_everyone_but_crew_sees_colleagues(self, role):
        assert rules.sees_colleagues({role}) is (role is not Role.CREW)

    def test_no_role_sees_nobody(self):
        assert not rules.sees_colleagues(set())
        assert not rules.sees_every_employer(set(), of_the_body=True)


class TestAdministers:
    @pytest.mark.parametrize(
        ("of_the_body", "same_employer", "expected"),
        [(True, False, True), (True, True, True), (False, True, True), (False, False, False)],
    )
    def test_an_administrator_keeps_their_own_employer_or_for_the_body_all(self, of_the_body, same_employer, expected):
        held = {Role.ADMINISTRATOR, Role.CREW}
        assert rules.administers(held, of_the_body=of_the_body, same_employer=same_employer) is expected

    @pytest.mark.parametrize("role", [Role.CREW, Role.TRAINER, Role.SUPERVISOR])
    def test_no_other_role_keeps_anyone(self, role):
        assert not rules.administers({role}, of_the_body=True, same_employer=True)


class TestRolesToChange:
    def test_leaves_trainer_and_administrator_to_the_body(self):
        assert rules.roles_to_change(of_the_body=False) == (Role.CREW, Role.SUPERVISOR)
        assert rules.roles_to_change(of_the_body=True) == tuple(Role)


class TestEndsTooEarly:
    def test_lets_a_row_end_yesterday_at_the_earliest(self):
        assert rules.ends_too_early(D1, on=D3)
        assert not rules.ends_too_early(D2, on=D3)
        assert not rules.ends_too_early(D4, on=D3)


class TestStillHeld:
    def test_looks_at_the_day_after_the_last(self):
        assert rules.still_held(D2, [(D1, None)])
        assert rules.still_held(D2, [(D3, D3)])
        assert not rules.still_held(D2, [(D4, None)])
        assert not rules.still_held(D2, [(D1, D2)])
        assert not rules.still_held(D2, [])


class TestPassPhrase:
    def test_satisfies_the_rules_for_passwords_each_time(self):
        phrases = {rules.pass_phrase(secrets.choice) for _ in range(200)}
        assert len(phrases) == 200
        for phrase in phrases:
            validate_password(phrase)

    def test_is_five_words_drawn_by_the_given_chooser(self):
        assert rules.pass_phrase(lambda words: words[0]) == "-".join(["acorn"] * 5)

    def test_draws_from_words_of_equal_chance_and_no_doubles(self):
        assert len(rules.WORDS) == len(set(rules.WORDS)) == 256
        assert all(word.isascii() and word.isalpha() and word.islower() for word in rules.WORDS)
        # The shortest phrase still meets the shortest password the site takes.
        assert 5 * min(map(len, rules.WORDS)) + 4 >= 15
