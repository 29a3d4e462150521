"""Who only reads goes on reading while the database takes no writes, and their session grows no longer by it."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from allauth.usersessions.models import UserSession
from django.contrib.sessions.models import Session
from django.db import OperationalError, connection, transaction
from django.test import Client
from time_machine import Traveller

from tests.cast import AT, PASSWORD, Cast

MINUTE = timedelta(minutes=1)
WRITES = ("INSERT", "UPDATE", "DELETE", "REPLACE")


@pytest.fixture
def clock() -> Iterator[Traveller]:
    with time_machine.travel(AT, tick=False) as moved:
        yield moved


@contextmanager
def full(told: list[str]) -> Iterator[None]:
    """A database that takes no writes, as SQLite says it: SQLITE_FULL, "database or disk is full"."""

    def refuse(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        if sql.lstrip().upper().startswith(WRITES):
            told.append(sql)
            raise OperationalError("database or disk is full")
        return execute(sql, params, many, context)

    with connection.execute_wrapper(refuse):
        yield


def turned_away(ask: Callable[[], Any]) -> Any:
    """Ask while there is no room, and undo what the fault did to the transaction that the test is in."""
    with transaction.atomic():
        with full([]):
            answer = ask()
        transaction.set_rollback(True)
    return answer


def times(client: Client) -> list[float]:
    """Return the two moments of a session as they are kept."""
    return list(Session.objects.get(pk=client.cookies["session"].value).get_decoded()["clock"])


@pytest.fixture
def reader(cast: Cast, clock: Traveller) -> Client:
    """Sol's browser, ten minutes after the last page; a supervisor's session may lie for an hour."""
    client = Client(raise_request_exception=False)
    client.force_login(cast.sol)
    assert client.get("/board/").status_code == 200
    clock.shift(10 * MINUTE)
    return client


class TestNoWrites:
    def test_keep_nobody_from_reading(self, reader: Client) -> None:
        told: list[str] = []
        before = times(reader)
        with full(told):
            for method in (reader.get, reader.head):
                assert method("/board/").status_code == 200
        assert len(told) == 1  # a lock would be waited for at each page, so it is tried once in half a minute
        assert "django_session" in told[0]
        assert times(reader) == before

    def test_are_tried_again_after_half_a_minute(self, reader: Client, clock: Traveller) -> None:
        told: list[str] = []
        with full(told):
            reader.get("/board/")
            clock.shift(MINUTE / 2)
            reader.get("/board/")
        assert len(told) == 2
        reader.get("/board/")
        assert times(reader)[1] == AT.timestamp()
        clock.shift(MINUTE / 2)
        reader.get("/board/")
        assert times(reader)[1] == (AT + 11 * MINUTE).timestamp()

    def test_make_no_session_last_longer(self, reader: Client, clock: Traveller) -> None:
        """The hour runs from the last use on record; reading during the fault does not put it off."""
        with full([]):
            clock.shift(40 * MINUTE)
            assert reader.get("/board/").status_code == 200
        clock.shift(10 * MINUTE - timedelta(seconds=1))
        with full([]):
            assert reader.get("/board/").status_code == 200
        clock.shift(timedelta(seconds=1))
        assert reader.get("/board/").status_code == 302

    def test_let_nobody_past_the_end(self, reader: Client, clock: Traveller) -> None:
        """An ended session cannot be taken off the records, and opens nothing all the same."""
        clock.shift(50 * MINUTE)
        assert turned_away(lambda: reader.get("/board/")).status_code == 503
        assert reader.get("/board/").status_code == 302

    def test_open_no_session_that_has_no_beginning_yet(self, cast: Cast, clock: Traveller) -> None:
        client = Client(raise_request_exception=False)
        client.post("/account/login/", {"login": "ada", "password": PASSWORD})
        answer = turned_away(lambda: client.get("/"))
        assert (answer.status_code, answer["Retry-After"]) == (503, "30")
        assert client.get("/").status_code == 200

    def test_stop_what_is_sent(self, reader: Client) -> None:
        answer = turned_away(lambda: reader.post("/people/me/", {"language": "fr"}))
        assert (answer.status_code, answer["Retry-After"]) == (503, "30")

    def test_of_a_session_are_come_again_later_too(self, reader: Client) -> None:
        """Django takes a session that could not be written for one that was ended, and would say that it is a fault."""
        reader.post("/account/again/", {"password": PASSWORD})
        answer = turned_away(lambda: reader.get("/account/factor/app/"))  # it puts a secret into the session
        assert (answer.status_code, answer["Retry-After"]) == (503, "30")


class TestASessionEndedMeanwhile:
    def test_is_not_taken_for_a_database_without_room(self, reader: Client) -> None:
        key = reader.cookies["session"].value

        def gone(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
            if sql.startswith('UPDATE "django_session"') and Session.objects.filter(pk=key).exists():
                Session.objects.filter(pk=key).delete()
            return execute(sql, params, many, context)

        with connection.execute_wrapper(gone):
            assert reader.get("/board/").status_code == 400


class TestTheListOfSessions:
    def test_says_when_each_was_used(self, cast: Cast, clock: Traveller) -> None:
        client = Client()
        client.post("/account/login/", {"login": "ada", "password": PASSWORD})
        client.get("/")
        clock.shift(10 * MINUTE)
        client.get("/")
        used = UserSession.objects.get(user=cast.ada)
        assert used.last_seen_at == AT + 10 * MINUTE
