"""Wrong tries: counted for a user name at an address, in the database, by whatever worker hears them."""

from datetime import timedelta

import pytest
import time_machine
from django.test import Client

from tests.cast import AT, PASSWORD, Cast
from tests.training.reply import page

HERE, THERE = "198.51.100.9", "203.0.113.4"  # addresses for documentation, RFC 5737


def attempt(password: str, *, address: str = HERE, name: str = "ada", **more: str):
    return Client(REMOTE_ADDR=address, **more).post("/account/login/", {"login": name, "password": password})


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel(AT, tick=False):
        yield


class TestTries:
    def test_stop_after_five_and_go_on_after_a_quarter_of_an_hour(self, cast: Cast) -> None:
        codes = [attempt("wrong").status_code for _ in range(6)]
        assert codes == [200, 200, 200, 200, 429, 429]
        refused = attempt(PASSWORD)
        assert refused.status_code == 429
        assert "Too many wrong tries" in page(refused)
        assert 'value="ada"' in page(refused)
        with time_machine.travel(AT + timedelta(minutes=15, seconds=1), tick=False):
            assert attempt(PASSWORD).status_code == 302

    def test_leave_the_owner_in_from_elsewhere(self, cast: Cast) -> None:
        for _ in range(6):
            attempt("wrong")
        assert attempt(PASSWORD, address=THERE).status_code == 302

    def test_are_not_told_apart_by_capitals(self, cast: Cast) -> None:
        for name in ("ada", "Ada", "ADA", "aDa", "adA"):
            attempt("wrong", name=name)
        assert attempt(PASSWORD).status_code == 429

    def test_follow_the_address_behind_the_proxies_there_are(self, cast: Cast, settings) -> None:
        # The left-most is whatever the sender wrote.
        for number in range(5):
            attempt("wrong", HTTP_X_FORWARDED_FOR=f"192.0.2.{number}, {THERE}")
        assert attempt(PASSWORD, HTTP_X_FORWARDED_FOR=f"192.0.2.99, {THERE}").status_code == 429, (
            "counted for the proxy"
        )
        settings.ALLAUTH_TRUSTED_PROXY_COUNT = 1
        for number in range(5):
            attempt("wrong", HTTP_X_FORWARDED_FOR=f"192.0.2.{number}, {THERE}", name="ben")
        assert attempt(PASSWORD, HTTP_X_FORWARDED_FOR=f"192.0.2.7, {THERE}", name="ben").status_code == 429
        assert attempt(PASSWORD, HTTP_X_FORWARDED_FOR=f"{THERE}, 192.0.2.8", name="ben").status_code == 302

    def test_count_on_the_page_that_asks_again(self, cast: Cast) -> None:
        client = Client(REMOTE_ADDR=HERE)
        client.force_login(cast.ada)
        for _ in range(5):
            client.post("/account/again/", {"password": "wrong"})
        assert attempt(PASSWORD).status_code == 429
