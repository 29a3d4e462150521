"""What the log says about a request and about what broke, and what it keeps to itself."""

import io
import json
import logging
from collections.abc import Iterator

import pytest
from django.db import IntegrityError
from django.test import Client

from certs.records import views
from tests.cast import Cast
from tests.training.reply import page
from training.config.logs import json_lines

LOGGERS = ("ferrule", "django.request")


@pytest.fixture
def heard() -> Iterator[io.StringIO]:
    """What the loggers write, as lines of JSON."""
    text = io.StringIO()
    handler = logging.StreamHandler(text)
    handler.setFormatter(json_lines())
    loggers = [logging.getLogger(name) for name in LOGGERS]
    levels = [one.level for one in loggers]
    for one in loggers:
        one.addHandler(handler)
        one.setLevel(logging.INFO)
    yield text
    for one, level in zip(loggers, levels, strict=True):
        one.removeHandler(handler)
        one.setLevel(level)


def read(text: io.StringIO) -> list[dict[str, object]]:
    return [json.loads(line) for line in text.getvalue().splitlines()]


class TestRequests:
    def test_are_one_line_with_their_number_and_the_persons(self, cast: Cast, heard: io.StringIO) -> None:
        answer = cast.client("ada").get("/")
        (line,) = read(heard)
        assert line["request"] == answer["X-Request-ID"]
        assert (line["user"], line["status"], line["method"], line["route"]) == (cast.ada.pk, 200, "GET", "")
        assert str(line["timestamp"]).endswith("Z")
        assert "ada" not in heard.getvalue().casefold()

    def test_have_a_number_of_their_own_whatever_they_bring(self, cast: Cast, heard: io.StringIO) -> None:
        client = cast.client("ada")
        answers = {client.get("/", headers={"x-request-id": "mine"})["X-Request-ID"] for _ in range(3)}
        assert len(answers) == 3
        assert "mine" not in answers

    def test_keep_secrets_of_an_address_to_themselves(self, cast: Cast, heard: io.StringIO) -> None:
        cast.client("nobody").get("/people/start/12:secret-of-the-link/")
        assert "secret" not in heard.getvalue().replace("<str:secret>", "")
        assert {line["route"] for line in read(heard) if "route" in line} == {"people/start/<str:secret>/"}

    def test_stay_one_line_whatever_is_typed(self, db: None, heard: io.StringIO) -> None:
        Client().post("/account/login/", {"login": 'ada\n{"user": 1}', "password": "wrong\r\nwrong"})
        Client().get("/nothing%0Ahere/")
        assert all(line["request"] for line in read(heard))
        assert "wrong" not in heard.getvalue()


class TestFailures:
    @pytest.fixture
    def answer(self, cast: Cast, heard: io.StringIO, monkeypatch: pytest.MonkeyPatch):
        def broken(*_args: object, **_kwargs: object) -> None:
            raise IntegrityError('duplicate key "Ada Crew"\nDETAIL: Key (name)=(Ada Crew) exists')

        monkeypatch.setattr(views, "today", broken)
        client = cast.client("ada")
        client.raise_request_exception = False
        return client.get("/")

    def test_show_the_reader_no_trace(self, answer) -> None:
        assert answer.status_code == 500
        for word in ("Traceback", "IntegrityError", "Ada Crew", "views.py"):
            assert word not in answer.text

    def test_give_the_reader_a_number_that_finds_the_line(self, answer, heard: io.StringIO) -> None:
        """Short enough for the telephone."""
        failed = next(line for line in read(heard) if "exception" in line)
        assert f'<strong class="code">{str(failed["request"])[:8]}</strong>' in page(answer)

    def test_tell_the_log_where_and_name_nobody(self, answer, heard: io.StringIO) -> None:
        failed = next(line for line in read(heard) if "exception" in line)
        assert failed["request"] == answer["X-Request-ID"]
        assert str(failed["exception"]).startswith("IntegrityError: duplicate key")
        assert any("broken" in str(line) for line in failed["trace"])
        assert "Ada Crew" not in heard.getvalue()
