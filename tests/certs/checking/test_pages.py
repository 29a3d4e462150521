"""What the public is told, by number and by code, and how often."""

import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
import time_machine
import tinyhtml5
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from certs.cards import operations, queries
from certs.cards.models import Card
from certs.cards.rules import Step
from certs.checking import access
from tests.cast import AT, ON, Cast
from tests.certs import factory


@pytest.fixture(autouse=True)
def clock() -> object:
    """Every page is opened on the day of the cast."""
    with time_machine.travel(AT + timedelta(hours=6), tick=False) as travel:
        yield travel


@pytest.fixture(autouse=True)
def counts(db: None) -> None:
    """Nobody has asked yet."""
    cache.clear()


@pytest.fixture
def card(cast: Cast) -> Card:
    return factory.card(cast, cast.ada, on=ON)


def url(card: Card) -> str:
    return reverse("checking:number", args=[card.number])


class TestCheckPages:
    """Anyone may ask, with a number or a code, with or without JavaScript."""

    def test_offer_the_list_to_print_to_whoever_may_have_it(self, cast: Cast) -> None:
        """To a stranger the link would be a door that does not open."""
        link = reverse("checking:list_pdf")
        assert link in cast.client("ada").get(reverse("checking:check")).text
        assert link not in Client().get(reverse("checking:check")).text

    def test_take_a_typed_number(self, cast: Cast, card: Card) -> None:
        """Small letters and spaces do."""
        typed = card.number.lower().replace("-", " ")
        response = Client().get(reverse("checking:check"), {"number": typed}, follow=True)
        page = response.content.decode()
        assert response.redirect_chain == [(url(card), 302)]
        for words in ("Genuine and current", "answer-accept", "Ada Crew", "Fixing bonds", "24 Nov 2029"):
            assert words in page
        assert "Checked 25 Nov 2026, 15:00" in page
        assert "Compare the name" in page

    def test_tell_the_time_of_the_scheme(self, cast: Cast, clock: time_machine.Traveller) -> None:
        """In summer too, when it is not the server's."""
        clock.move_to(datetime(2026, 7, 2, 12, tzinfo=UTC))
        card = factory.card(cast, cast.ada, on=date(2026, 7, 1))
        assert "Checked 2 Jul 2026, 13:00, Europe/London" in Client().get(url(card)).content.decode()

    def test_tell_nothing_but_the_public_facts(self, cast: Cast, card: Card) -> None:
        """No employer, no reason of a measure."""
        operations.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="secret", on=ON, at=factory.noon(ON))
        page = Client().get(url(card)).content.decode()
        assert "Do not accept" in page
        assert "Northmoor" not in page
        assert "secret" not in page

    def test_answer_unknown_and_malformed_alike(self, db: None) -> None:
        """Byte for byte."""
        unknown, malformed = (Client().get(f"/check/{each}/") for each in ("FB-2222-222X", "nonsense"))
        assert (unknown.status_code, unknown.content) == (malformed.status_code, malformed.content)
        typed = Client().get(reverse("checking:check"), {"number": "nonsense"}, follow=True)
        assert typed.content == unknown.content
        assert b"Compare it with the card and check once more." in unknown.content
        coded = Client().post(reverse("checking:code"), {"code": "nonsense"})
        assert b"Compare it with the card" not in coded.content

    def test_take_a_pasted_code(self, cast: Cast, card: Card, card_key: Path) -> None:
        """The whole address, as a code reader shows it."""
        address = queries.code_url(queries.face(queries.cards().get(), on=ON))
        page = Client().post(reverse("checking:code"), {"code": address}).content.decode()
        assert "Genuine and current" in page
        page = Client().post(reverse("checking:code"), {"code": address[:-9]}).content.decode()
        assert "Do not accept" in page
        assert "not signed here" in page

    def test_ask_again_for_nothing(self, db: None) -> None:
        """An empty field gets its sentence."""
        assert "Type the number" in Client().get(reverse("checking:check"), {"number": ""}).content.decode()
        assert "Paste the text" in Client().post(reverse("checking:code"), {"code": ""}).content.decode()

    def test_want_a_post_for_a_code(self, db: None) -> None:
        """A code never stands in an address the server sees."""
        assert Client().get(reverse("checking:code")).status_code == 405
        assert Client(enforce_csrf_checks=True).post(reverse("checking:code"), {"code": "x"}).status_code == 403

    def test_answers_are_not_kept(self, cast: Cast, card: Card) -> None:
        """An answer holds for its moment."""
        assert "no-store" in Client().get(url(card))["Cache-Control"]


class TestLimits:
    """Numbers cannot be found by trying."""

    def test_stops_who_tries_numbers(self, cast: Cast, card: Card) -> None:
        """After ten that the register does not know, it answers for none, known or not."""
        for _try in range(access.UNKNOWN_A_QUARTER):
            assert Client().get("/check/unknown/").status_code == 200
        answers = [Client().get(each) for each in (url(card), "/check/unknown/")]
        assert [each.status_code for each in answers] == [429, 429]
        assert answers[0].content == answers[1].content
        assert "Ada" not in answers[0].content.decode()

    def test_counts_connections_apart(self, cast: Cast, card: Card) -> None:
        """The gate next door goes on."""
        for _try in range(access.UNKNOWN_A_QUARTER):
            Client(REMOTE_ADDR="192.0.2.1").get("/check/unknown/")
        assert Client(REMOTE_ADDR="192.0.2.1").get(url(card)).status_code == 429
        assert Client(REMOTE_ADDR="192.0.2.2").get(url(card)).status_code == 200

    def test_lets_a_gate_work_and_no_machine(self, cast: Cast, card: Card) -> None:
        """Sixty in a minute, by number or by code."""
        answered = [Client().get(url(card)).status_code for _ask in range(access.ASKED_A_MINUTE + 1)]
        assert answered == [200] * access.ASKED_A_MINUTE + [429]
        assert Client().post(reverse("checking:code"), {"code": "x"}).status_code == 429


class TestLists:
    """What a phone keeps, and the sheet for a depot."""

    def test_are_sent_to_anyone_and_name_nobody(self, cast: Cast, card: Card, card_key: Path) -> None:
        """Signed text, never stored by a cache between."""
        answer = Client().get(reverse("checking:lists"))
        assert set(answer.json()) == {"root", "keys", "cards"}
        assert "no-store" in answer["Cache-Control"]
        assert all(answer.json().values())

    def test_are_empty_without_keys(self, cast: Cast, card: Card) -> None:
        """The page says so, and nothing fails."""
        assert Client().get(reverse("checking:lists")).json()["cards"] == ""

    def test_sheet_is_one_page(self, cast: Cast, card: Card, card_key: Path) -> None:
        """For anyone who is signed in."""
        answer = cast.client("sol").get(reverse("checking:list_pdf"))
        assert answer["Content-Type"] == "application/pdf"

    def test_sheet_says_why_not(self, cast: Cast, card: Card) -> None:
        """A sentence in its place."""
        page = cast.client("sol").get(reverse("checking:list_pdf"), follow=True).content.decode()
        assert "keys new" in page


class TestMarkup:
    """Each page parses without an error and has one main heading."""

    @pytest.mark.parametrize("page", ["number", "check"])
    def test_is_sound(self, cast: Cast, card: Card, page: str) -> None:
        """By the HTML standard's own parsing rules."""
        text = Client().get(url(card) if page == "number" else reverse("checking:check")).content.decode()
        parser = tinyhtml5.parser.HTMLParser()
        parser.parse(text)
        assert parser.errors == []
        assert len(re.findall("<h1", text)) == 1
        assert text.count("btn-primary") <= 1
        assert "style=" not in text

    def test_lets_the_camera_be_asked_for(self, db: None) -> None:
        """On this page and on no other."""
        assert "camera=(self)" in Client().get(reverse("checking:check"))["Permissions-Policy"]
        assert "camera=()" in Client().get("/check/unknown/")["Permissions-Policy"]
