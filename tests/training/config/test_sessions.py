"""How long sessions last, by role, and what they open without a second factor.

Limits: SP 800-63B-4 (2025), 2.1.3 (one factor: 30 days at most) and 2.2.3 (two factors: 24 h in all, 1 h idle at most);
those of the site are its own and no longer.
"""

from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from tests.cast import AT, PASSWORD, START, Cast
from tests.training.reply import page
from training.people.models import RoleHeld
from training.people.rules import OF_STAFF, Role, SessionTimes, session_limits

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
SECOND = timedelta(seconds=1)
# who, how long idle, how long in all
TIMES = [("ada", 7 * DAY, 30 * DAY), ("sol", HOUR, 12 * HOUR), ("tess", HOUR, 12 * HOUR), ("max", HOUR / 4, 8 * HOUR)]


def signed_in(client: Client) -> bool:
    """Whether the client's session is alive."""
    return client.get("/").status_code == 200


class TestLimits:
    @pytest.mark.parametrize(("who", "idle", "whole"), TIMES)
    def test_an_idle_session_ends_to_the_second(self, cast: Cast, who: str, idle: timedelta, whole: timedelta) -> None:
        for left, alive in ((SECOND, True), (timedelta(0), False)):
            client = Client()
            with time_machine.travel(AT, tick=False) as clock:
                client.force_login(getattr(cast, who))
                assert signed_in(client)
                clock.shift(idle - left)
                assert signed_in(client) is alive

    @pytest.mark.parametrize(("who", "idle", "whole"), TIMES)
    def test_a_used_session_ends_all_the_same(self, cast: Cast, who: str, idle: timedelta, whole: timedelta) -> None:
        with time_machine.travel(AT, tick=False) as clock:
            client = cast.client(who)
            used = timedelta(0)
            assert signed_in(client)
            while whole - used > idle / 2:
                clock.shift(idle / 2)
                used += idle / 2
                assert signed_in(client), used
            clock.shift(whole - used - SECOND)
            assert signed_in(client)
            clock.shift(SECOND)
            answer = client.get("/", follow=True)
            assert "too much time had passed" in page(answer)

    def test_the_strictest_role_counts(self, cast: Cast) -> None:
        RoleHeld.objects.create(person=cast.ada, role=Role.ADMINISTRATOR, from_on=START)
        with time_machine.travel(AT, tick=False) as clock:
            assert signed_in(cast.client("ada"))
            clock.shift(HOUR / 4)
            assert not signed_in(cast.client("ada"))

    def test_a_clock_put_back_ends_it(self, cast: Cast) -> None:
        with time_machine.travel(AT, tick=False) as clock:
            assert signed_in(cast.client("ada"))
            clock.shift(-timedelta(minutes=4))
            assert signed_in(cast.client("ada"))
            clock.shift(-timedelta(minutes=2))
            assert not signed_in(cast.client("ada"))

    def test_the_cookie_of_an_ended_session_is_worth_nothing(self, cast: Cast) -> None:
        client = Client()
        client.force_login(cast.ada)
        old = client.cookies["session"].value
        client.post("/account/logout/")
        thief = Client()
        thief.cookies["session"] = old
        answer = thief.get("/")
        assert answer.status_code == 302
        assert answer["Location"].startswith("/account/login/")

    @given(seen=st.floats(0, 1e6), now=st.floats(0, 1e6))
    def test_none_is_alive_past_either_limit(self, seen: float, now: float) -> None:
        over = OF_STAFF.over(SessionTimes(0.0, seen), now=now)
        if now >= OF_STAFF.whole or now - seen >= OF_STAFF.idle:
            assert over

    def test_no_role_lasts_longer_than_the_standard_allows(self) -> None:
        assert session_limits({Role.CREW}).whole <= 30 * 86400
        for role in (Role.TRAINER, Role.SUPERVISOR, Role.ADMINISTRATOR):
            assert session_limits({Role.CREW, role}).whole <= 24 * 3600
            assert session_limits({Role.CREW, role}).idle <= 3600


def password_only(person: object) -> Client:
    """Sign in with the password, as a person does."""
    client = Client()
    client.post("/account/login/", {"login": person.username, "password": PASSWORD})  # type: ignore[attr-defined]
    return client


@pytest.mark.django_db
class TestSecondFactor:
    STAFF_PAGES = ("/", "/people/", "/board/", "/signoffs/", "/waiting/who/", "/register.csv")

    @pytest.mark.parametrize("who", ["sol", "tess", "max"])
    def test_a_password_alone_opens_no_page_of_staff(self, cast: Cast, who: str) -> None:
        client = password_only(getattr(cast, who))
        for url in self.STAFF_PAGES:
            assert client.get(url)["Location"] == "/account/factor/", url
        assert "Set one up to go on" in page(client.get("/", follow=True))

    def test_nor_a_thing_that_is_sent(self, cast: Cast) -> None:
        answer = password_only(cast.max).post(f"/people/{cast.ada.pk}/", {"act": "close"})
        assert answer["Location"] == "/account/factor/"
        cast.ada.refresh_from_db()
        assert cast.ada.is_active

    def test_it_opens_what_everyone_sees_and_what_sets_one_up(self, cast: Cast) -> None:
        client = password_only(cast.max)
        for url in ("/check/", "/offline/", "/account/factor/", "/account/passkeys/", "/account/sessions/"):
            assert client.get(url).status_code == 200, url

    def test_crew_go_in_with_a_password(self, cast: Cast) -> None:
        assert signed_in(password_only(cast.ada))

    def test_a_role_given_later_asks_at_once(self, cast: Cast) -> None:
        client = password_only(cast.ada)
        today = timezone.now().date()
        RoleHeld.objects.create(person=cast.ada, role=Role.SUPERVISOR, from_on=today)
        assert client.get("/")["Location"] == "/account/factor/"
