"""`manage.py keys`: what it makes, what it asks, what it refuses; nothing is ever half done."""

import builtins
from datetime import date, timedelta
from io import StringIO
from pathlib import Path

import pytest
import time_machine
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from django.core.management import CommandError, call_command
from pytest_django import Settings

from certs.cards import operations as cards
from certs.cards.code import key_id
from certs.cards.models import CardKey, Signature
from certs.cards.queries import KeyUnavailable, face, signing_key
from certs.cards.queries import cards as card_rows
from certs.checking import code, queries
from certs.checking.models import KeyList
from tests.cast import AT, ON, Cast
from tests.certs import factory
from tests.keys import root_file


@pytest.fixture
def clock(card_key: Path) -> object:
    """Every command runs on the day of the cast, after the first key was made."""
    with time_machine.travel(AT, tick=False) as travel:
        yield travel


def keys(*said: str) -> str:
    out = StringIO()
    call_command("keys", *said, stdout=out)
    return out.getvalue()


def new(*said: str) -> str:
    return keys("new", "--root", str(root_file()), "--yes", *said)


def signed() -> code.KeyList:
    listed = queries.newest_keys()
    assert listed is not None
    return code.unseal_keys(listed.message, queries.root_public())


@pytest.mark.usefixtures("clock")
class TestRoot:
    def test_is_kept_from_others_and_never_overwritten(self) -> None:
        """0400, and a second one would cut off every phone."""
        assert root_file().stat().st_mode & 0o777 == 0o400
        with pytest.raises(CommandError, match="already"):
            keys("root", str(root_file()), "--yes")
        with pytest.raises(CommandError, match="already"):
            keys("root", str(root_file().with_name("second.key")), "--yes")
        assert not root_file().with_name("second.key").exists()

    @pytest.mark.parametrize("mode", [0o444, 0o440, 0o602])
    def test_is_refused_when_others_reach_it(self, mode: int) -> None:
        """And nothing changes."""
        root_file().chmod(mode)
        with pytest.raises(CommandError, match="0400"):
            new()
        assert (CardKey.objects.count(), KeyList.objects.count()) == (1, 1)

    def test_of_another_site_is_refused(self, tmp_path: Path) -> None:
        """Phones would not believe its list, so it is not made, nor is a file."""
        other = tmp_path / "other.key"
        pem = Ed25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        other.write_bytes(pem)
        other.chmod(0o400)
        with pytest.raises(CommandError, match="not the root key of this site"):
            keys("new", "--root", str(other), "--yes")
        assert (CardKey.objects.count(), KeyList.objects.count()) == (1, 1)
        assert not list(root_file().parent.glob("*.next"))

    def test_is_asked_for_when_missing(self, settings: Settings, tmp_path: Path) -> None:
        """Its file, or its public half."""
        with pytest.raises(CommandError, match="no key to sign with"):
            keys("new", "--root", str(tmp_path / "none"), "--yes")
        settings.ROOT_PUBLIC_FILE = tmp_path / "none.pub"
        with pytest.raises(CommandError, match="keys root"):
            new()
        (tmp_path / "none.pub").write_text("00")
        with pytest.raises(CommandError, match="public half"):
            new()


class TestNew:
    def test_waits_beside_the_one_in_use(self, clock: time_machine.Traveller) -> None:
        """Phones know it before it signs, and the old one goes on until then."""
        _key, old = signing_key(on=ON)
        assert "25 Dec 2026" in new()
        _key, still = signing_key(on=ON + timedelta(days=29))
        _key, then = signing_key(on=ON + timedelta(days=30))
        assert (old, then.signs_from, then.signs_to) == (still, date(2026, 12, 25), date(2028, 12, 25))
        assert [key_id(each.public).hex() for each in signed().keys] == [old.key_id, then.key_id]
        with pytest.raises(CommandError, match="waits"):
            new()
        clock.shift(timedelta(days=31))
        new()
        _key, now = signing_key(on=ON + timedelta(days=31))
        assert now == then
        assert signed().sequence == 3

    def test_signs_at_once_after_a_broken_one(self, clock: time_machine.Traveller) -> None:
        """No card is made meanwhile."""
        name = CardKey.objects.get().key_id
        keys("broken", name, "--root", str(root_file()), "--yes")
        with pytest.raises(KeyUnavailable):
            signing_key(on=ON)
        new()
        _key, now = signing_key(on=ON)
        assert (now.signs_from, now.key_id != name) == (ON, True)
        assert signed().keys[0].broken_on == ON

    @pytest.mark.parametrize("day", ["2026-11-24", "2020-01-01"])
    @pytest.mark.usefixtures("clock")
    def test_begins_on_no_day_that_is_past(self, day: str) -> None:
        """Nothing is dated back."""
        with pytest.raises(CommandError, match="today or later"):
            new("--from", day)

    @pytest.mark.usefixtures("clock")
    def test_leaves_a_key_that_the_register_lacks(self, card_key: Path) -> None:
        """It may belong to a register that is coming back."""
        held = card_key.read_bytes()
        CardKey.objects.all().delete()
        with pytest.raises(CommandError, match="move the file away"):
            new()
        assert card_key.read_bytes() == held


@pytest.mark.usefixtures("clock")
class TestRetire:
    def test_ends_signing_and_nothing_else(self) -> None:
        """What it signed holds."""
        name = CardKey.objects.get().key_id
        keys("retire", name, "--last", "2026-12-01", "--root", str(root_file()), "--yes")
        assert signed().keys[0].signs_to == date(2026, 12, 1)
        assert signed().keys[0].broken_on is None

    @pytest.mark.parametrize(
        ("name", "day", "sentence"), [("", "2026-11-24", "today or later"), ("00000000", "2026-12-01", "no key")]
    )
    def test_refuses_a_past_day_and_a_strange_name(self, name: str, day: str, sentence: str) -> None:
        """With a sentence."""
        name = name or CardKey.objects.get().key_id
        with pytest.raises(CommandError, match=sentence):
            keys("retire", name, "--last", day, "--root", str(root_file()), "--yes")


@pytest.mark.usefixtures("clock")
class TestBroken:
    def test_says_how_many_cards_are_to_be_printed_again(self, cast: Cast) -> None:
        """Before it asks."""
        factory.card(cast, cast.ada, on=ON)
        for _print in range(2):
            cards.note_codes(shown=[face(card_rows().get(), on=ON)], at=AT)
        assert Signature.objects.count() == 1
        said = keys("broken", CardKey.objects.get().key_id, "--root", str(root_file()), "--yes")
        assert "1 cards to make again" in said
        with pytest.raises(CommandError, match="broken since"):
            keys("broken", CardKey.objects.get().key_id, "--root", str(root_file()), "--yes")


@pytest.mark.usefixtures("clock")
class TestAsking:
    def test_changes_nothing_without_a_yes(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Said first, then asked."""
        monkeypatch.setattr(builtins, "input", lambda _prompt: "no")
        with pytest.raises(CommandError, match="Nothing was changed"):
            keys("new", "--root", str(root_file()))
        assert (CardKey.objects.count(), KeyList.objects.count()) == (1, 1)
        monkeypatch.setattr(builtins, "input", lambda _prompt: "Yes ")
        assert "signs" in keys("new", "--root", str(root_file()))


class TestList:
    def test_shows_every_key_and_that_the_list_is_in_order(self, clock: time_machine.Traveller) -> None:
        """By name, days and what it may do."""
        new()
        said = keys("list")
        assert "signs" in said
        assert "waits for its first day" in said
        assert "is in order" in said
        clock.move_to(AT + timedelta(days=365 + 184))
        assert "make its successor now" in keys("list")
        clock.move_to(AT + timedelta(days=732))
        assert "signs no more; its cards hold" in keys("list")
        CardKey.objects.update(broken_on=ON)
        with pytest.raises(CommandError, match="not what the register says"):
            keys("list")

    @pytest.mark.usefixtures("clock")
    def test_tells_a_list_that_another_key_signed(self) -> None:
        """The register alone cannot vouch for itself."""
        made = signed()
        KeyList.objects.update(message=code.seal_keys(made, Ed25519PrivateKey.generate()))
        with pytest.raises(CommandError, match="not signed by"):
            keys("list")
        KeyList.objects.all().delete()
        with pytest.raises(CommandError, match="no signed list"):
            keys("list")
