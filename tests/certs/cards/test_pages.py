"""Who may open which page, and what a form refuses."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
import time_machine
import tinyhtml5
from django.urls import reverse

from certs.cards import operations
from certs.cards.models import Card, Measure
from certs.cards.rules import Step
from tests.cast import AT, ON, Cast
from tests.certs import factory


@pytest.fixture(autouse=True)
def clock() -> object:
    """Every page is opened on the day of the cast."""
    with time_machine.travel(AT + timedelta(hours=6), tick=False) as travel:
        yield travel


@pytest.fixture
def card(cast: Cast) -> Card:
    return factory.card(cast, cast.ada, on=ON)


def url(page: str, card: Card) -> str:
    return reverse(f"cards:{page}", args=[card.number])


class TestAccess:
    """404 for what is not yours to see, 403 for what is not yours to do."""

    @pytest.mark.parametrize(
        ("page", "who", "status"),
        [
            *[("card", who, 200) for who in ("ada", "sol", "tess", "max")],
            *[("card", who, 404) for who in ("ben", "quin", "rex")],
            *[("pdf", who, 404) for who in ("ben", "quin", "rex")],
            *[("measure", who, 404) for who in ("ben", "quin", "rex")],
            *[("measure", who, 403) for who in ("ada", "sol", "tess")],
            ("measure", "max", 200),
            ("card", "nobody", 302),
            ("pdf", "nobody", 302),
        ],
    )
    def test_by_role(self, cast: Cast, card: Card, page: str, who: str, status: int) -> None:
        """A stranger's card is not confirmed to exist."""
        assert cast.client(who).get(url(page, card)).status_code == status

    def test_of_a_number_that_cannot_be(self, cast: Cast) -> None:
        """The same as a stranger's."""
        assert cast.client("max").get("/cards/FB-0000-0000/").status_code == 404


class TestMeasurePage:
    """An administrator takes a measure with a reason."""

    def test_records_and_returns_to_the_card(self, cast: Cast, card: Card) -> None:
        """Suspended at once."""
        sent = {"step": "suspended", "reason": "Event of today"}
        page = cast.client("max").post(url("measure", card), sent, follow=True).content.decode()
        assert Measure.objects.get().step == Step.SUSPENDED
        assert "Suspended since 25 Nov 2026." in page
        assert "Ada Crew: suspended. It counts at once." in page

    def test_offers_only_what_may_be_done(self, cast: Cast, card: Card) -> None:
        """No reinstating of what is not suspended, nothing at all for a withdrawn card."""
        assert 'value="reinstated"' not in cast.client("max").get(url("measure", card)).content.decode()
        cast.client("max").post(url("measure", card), {"step": "withdrawn", "reason": "Event", "sure": "yes"})
        assert "closed for good" in cast.client("max").get(url("measure", card)).content.decode()

    def test_asks_once_more_before_a_card_is_withdrawn(self, cast: Cast, card: Card) -> None:
        """It says for whom and that it stays so; going back loses nothing that was typed."""
        client, sent = cast.client("max"), {"step": "withdrawn", "reason": "Event of <today>"}
        asked = client.post(url("measure", card), sent).content.decode()
        assert f"Withdraw card {card.number}?" in asked
        assert "Ada Crew may not work under Bonds by pin brazing any more" in asked
        assert "This cannot be undone" in asked
        assert 'value="Event of &lt;today&gt;"' in asked
        assert not Measure.objects.exists()
        back = client.post(url("measure", card), sent | {"sure": "yes", "back": "yes"}).content.decode()
        assert "Event of &lt;today&gt;</textarea>" in back
        assert not Measure.objects.exists()
        client.post(url("measure", card), sent | {"sure": "yes"})
        assert Measure.objects.get().reason == "Event of <today>"

    def test_asks_for_the_reason(self, cast: Cast, card: Card) -> None:
        """Nothing is recorded without one."""
        page = cast.client("max").post(url("measure", card), {"step": "suspended"}).content.decode()
        assert "Write the reason" in page
        assert not Measure.objects.exists()


class TestPdfPage:
    """The card as a file, or a sentence on the card's page."""

    def test_is_sent_to_the_holder(self, cast: Cast, card: Card, card_key: Path) -> None:
        """Private, named by number."""
        response = cast.client("ada").get(url("pdf", card))
        assert (response["Content-Type"], response["Cache-Control"]) == ("application/pdf", "no-store")
        assert response.content.startswith(b"%PDF")

    def test_says_why_not(self, cast: Cast, card: Card, card_key: Path) -> None:
        """A suspended card is not printed."""
        operations.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="why", on=ON, at=factory.noon(ON))
        page = cast.client("ada").get(url("pdf", card), follow=True).content.decode()
        assert "not printed as it stands" in page

    def test_says_that_there_is_no_key(self, cast: Cast, card: Card) -> None:
        """The administrator learns the command."""
        page = cast.client("max").get(url("pdf", card), follow=True).content.decode()
        assert "keys new" in page


class TestMarkup:
    """Each page parses without an error and has one main heading."""

    @pytest.mark.parametrize(("who", "page"), [("max", "card"), ("max", "measure")])
    def test_is_sound(self, cast: Cast, card: Card, who: str, page: str) -> None:
        """By the HTML standard's own parsing rules."""
        self.sound(cast.client(who).get(url(page, card)).content.decode())

    def sound(self, page: str) -> None:
        parser = tinyhtml5.parser.HTMLParser()
        parser.parse(page)
        assert parser.errors == []
        assert len(re.findall("<h1", page)) == 1
        assert page.count("btn-primary") <= 1
        assert "style=" not in page
