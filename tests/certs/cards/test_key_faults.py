"""A key file that is gone, or that others can read: a sentence wherever the key is used, and nothing half done."""

from collections.abc import Callable
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.urls import reverse

from certs.cards.models import Card, Signature
from certs.checking.models import StatusList
from tests.cast import AT, ON, Cast
from tests.certs import factory

FAULTS: dict[str, tuple[Callable[[Path], None], str]] = {
    "gone": (Path.unlink, "There is no key to sign with"),
    "open to the group": (lambda file: file.chmod(0o440), "set the mode of its file to 0400"),
    "open to the world": (lambda file: file.chmod(0o404), "set the mode of its file to 0400"),
}


@pytest.fixture(autouse=True)
def clock() -> object:
    """The day of the cast."""
    with time_machine.travel(AT + timedelta(hours=6), tick=False) as travel:
        yield travel


@pytest.fixture
def card(cast: Cast, card_key: Path) -> Card:
    return factory.card(cast, cast.ada, on=ON)


@pytest.fixture(params=list(FAULTS))
def sentence(request: pytest.FixtureRequest, card: Card, card_key: Path) -> str:
    """Spoil the key's file, and return what has to be said."""
    spoil, said = FAULTS[request.param]
    spoil(card_key)
    return said


class TestPages:
    @pytest.mark.parametrize(
        ("who", "page"), [("max", "cards:pdf"), ("ada", "credentials:take_along"), ("sol", "checking:list_pdf")]
    )
    def test_say_what_to_do(self, cast: Cast, card: Card, sentence: str, who: str, page: str) -> None:
        """In place of the card, its file, the sheet for a depot; without the folder that the key lies in."""
        url = reverse(page, args=[] if page == "checking:list_pdf" else [card.number])
        client = cast.client(who)
        ask = client.post if page == "credentials:take_along" else client.get
        text = ask(url, follow=True).content.decode()
        assert sentence in text
        assert "card.key" in text
        assert "/card.key" not in text
        assert not Signature.objects.exists()


class TestCommands:
    def test_of_the_daily_list_says_what_to_do(self, sentence: str) -> None:
        """And makes none."""
        with pytest.raises(CommandError, match=sentence):
            call_command("make_status_list", stdout=StringIO())
        assert not StatusList.objects.exists()

    def test_of_many_cards_says_what_to_do(self, card: Card, sentence: str, tmp_path: Path) -> None:
        """And writes no file."""
        with pytest.raises(CommandError, match=sentence):
            call_command("print_cards", str(tmp_path / "out.pdf"), card.number, "--by", "max", stdout=StringIO())
        assert not (tmp_path / "out.pdf").exists()
