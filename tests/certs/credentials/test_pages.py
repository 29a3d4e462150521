"""Taking a card along, the public lists, and the command that checks a file."""

import gzip
import json
from base64 import urlsafe_b64decode
from datetime import timedelta
from hashlib import sha256
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.urls import reverse

from certs.cards import operations as acts
from certs.cards.models import Card, CardKey, Signature
from certs.cards.rules import Step
from certs.credentials import code, operations, rules
from certs.credentials.models import Credential
from certs.credentials.rules import ENTRIES
from tests.cast import AT, ON, Cast
from tests.certs import factory
from training.ledger.models import Entry


@pytest.fixture(autouse=True)
def clock() -> object:
    """Every page is opened on the day of the cast."""
    with time_machine.travel(AT + timedelta(hours=6), tick=False) as travel:
        yield travel


@pytest.fixture
def card(cast: Cast, card_key: Path) -> Card:
    return factory.card(cast, cast.ada, on=ON)


def download(cast: Cast, card: Card) -> dict[str, Any]:
    answer = cast.client("ada").post(reverse("credentials:take_along", args=[card.number]))
    assert answer["Content-Disposition"] == f'attachment; filename="{card.number}.json"'
    return json.loads(answer.content)


def bit(cast: Cast, document: dict[str, Any], purpose: str) -> bool:
    """Follow the file to its list, check the list's proof, and read the bit, as a stranger would."""
    (entry,) = [one for one in document["credentialStatus"] if one["statusPurpose"] == purpose]
    path = entry["statusListCredential"].removeprefix("https://cards.example.org")
    listed = json.loads(cast.client("nobody").get(path).content)
    issuer = json.loads(cast.client("nobody").get(reverse("credentials:issuer")).content)
    known = {one["id"]: code.from_base58(one["publicKeyMultibase"][1:])[2:] for one in issuer["verificationMethod"]}
    code.verify(listed, known)
    code.verify(document, known)
    bits = gzip.decompress(urlsafe_b64decode(listed["credentialSubject"]["encodedList"][1:] + "=="))
    place = int(entry["statusListIndex"])
    return bool(bits[place // 8] >> (7 - place % 8) & 1)


def check(document: object, folder: Path) -> str:
    file = folder / "card.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    out = StringIO()
    call_command("verify_credential", str(file), stdout=out)
    return out.getvalue()


class TestTakeAlong:
    def test_sends_the_holder_a_whole_signed_file(self, cast: Cast, card: Card) -> None:
        """Name, number, days; no marks and no birth date."""
        document = download(cast, card)
        assert rules.lacking(document) == ()
        assert document["credentialSubject"]["licenseNumber"] == card.number
        assert document["validFrom"] == "2026-11-25T00:00:00Z"
        assert document["validUntil"] == "2029-11-25T00:00:00Z"
        assert Entry.objects.filter(act="card signed to take along", by=cast.ada.pk).count() == 1

    def test_keeps_name_and_place(self, cast: Cast, card: Card) -> None:
        """The second download is the same file, so lists need not grow."""
        assert download(cast, card) == download(cast, card)
        assert Credential.objects.count() == 1

    def test_offers_the_button_to_the_holder_alone(self, cast: Cast, card: Card) -> None:
        """A supervisor sees the card, and no button."""
        page = reverse("cards:card", args=[card.number])
        assert "Signed file (JSON)" in cast.client("ada").get(page).content.decode()
        assert "Signed file (JSON)" not in cast.client("sol").get(page).content.decode()

    def test_refuses_a_card_that_is_not_current(self, cast: Cast, card: Card) -> None:
        """With the reason, back on the card's page."""
        acts.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="Event", on=ON, at=AT)
        url = reverse("credentials:take_along", args=[card.number])
        page = cast.client("ada").post(url, follow=True).content.decode()
        assert "No signed file is made of a card that is not current. Suspended since 25 Nov 2026." in page
        assert not Credential.objects.exists()

    def test_says_when_the_key_is_gone(self, cast: Cast, card: Card, card_key: Path) -> None:
        """Nothing is signed with another."""
        card_key.unlink()
        url = reverse("credentials:take_along", args=[card.number])
        assert "There is no key to sign with" in cast.client("ada").post(url, follow=True).content.decode()
        assert not Entry.objects.filter(act="card signed to take along").exists()

    def test_says_when_others_can_read_the_key(self, cast: Cast, card: Card, card_key: Path) -> None:
        """The sentence says what to do, and not where the file lies."""
        card_key.chmod(0o444)
        url = reverse("credentials:take_along", args=[card.number])
        page = cast.client("ada").post(url, follow=True).content.decode()
        assert "set the mode of its file to 0400" in page
        assert str(card_key.parent) not in page

    def test_leaves_its_signature_in_the_log(self, cast: Cast, card: Card) -> None:
        """Each file that was sent: SHA-256 (FIPS 180-4) of its proof value."""
        proof = download(cast, card)["proof"]["proofValue"]
        logged = Signature.objects.get()
        assert (logged.card, logged.digest) == (card, sha256(proof.encode()).hexdigest())
        assert logged.key == CardKey.objects.get()

    def test_begins_a_new_list_when_one_is_half_full(
        self, cast: Cast, card: Card, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """So that a free place is soon drawn; a taken one is drawn again."""
        monkeypatch.setattr(operations, "FILL", 1)
        draws = iter([7, 7, 8])
        monkeypatch.setattr(operations.secrets, "randbelow", lambda _below: next(draws))
        other = factory.card(cast, cast.ben, on=ON)
        operations.take_along(card=card, by=cast.ada, at=AT)
        monkeypatch.setattr(operations, "FILL", 2)
        operations.take_along(card=other, by=cast.ben, at=AT)
        assert [made.place for made in Credential.objects.order_by("place")] == [7, 8]
        monkeypatch.setattr(operations, "FILL", 1)
        monkeypatch.setattr(operations.secrets, "randbelow", lambda _below: 7)
        operations.take_along(card=factory.card(cast, cast.quin, on=ON), by=cast.quin, at=AT)
        assert Credential.objects.filter(place=2 * ENTRIES + 7).exists()

    def test_is_for_the_holder_alone(self, cast: Cast, card: Card) -> None:
        """403 for who sees the card, 404 for who does not."""
        url = reverse("credentials:take_along", args=[card.number])
        assert [cast.client(who).post(url).status_code for who in ("sol", "ben", "quin")] == [403, 404, 404]


class TestLists:
    def test_follow_the_register_at_once(self, cast: Cast, card: Card) -> None:
        """Suspended, reinstated, withdrawn."""
        document = download(cast, card)
        assert (bit(cast, document, "revocation"), bit(cast, document, "suspension")) == (False, False)
        for step, wanted in [
            (Step.SUSPENDED, (False, True)),
            (Step.REINSTATED, (False, False)),
            (Step.WITHDRAWN, (True, False)),
        ]:
            acts.measure(card=card, step=step, by=cast.max, reason="Event", on=ON, at=AT)
            assert (bit(cast, document, "revocation"), bit(cast, document, "suspension")) == wanted

    def test_mark_unconfirmed_work(self, cast: Cast, card: Card, clock: Any) -> None:
        """Due on 25 May 2027; the day after, the bit is set without anybody doing anything."""
        document = download(cast, card)
        clock.move_to(factory.noon(ON + timedelta(days=182)))
        assert bit(cast, document, "suspension")

    @pytest.mark.parametrize("path", ["revocation/1/", "message/0/"])
    def test_that_are_not_there(self, cast: Cast, card: Card, path: str) -> None:
        """404, and nothing is signed."""
        download(cast, card)
        assert cast.client("nobody").get(f"/credentials/status/{path}").status_code == 404

    def test_answer_later_without_a_key(self, cast: Cast, card: Card, card_key: Path) -> None:
        """503: come back."""
        download(cast, card)
        card_key.unlink()
        answer = cast.client("nobody").get("/credentials/status/revocation/0/")
        assert (answer.status_code, answer["Retry-After"]) == (503, "300")
        assert "Ask again later" in answer.content.decode()

    def test_cost_the_same_for_many(self, cast: Cast, card: Card, django_assert_num_queries: Any) -> None:
        """The places, the cards, what happened to them, and one line of the log."""
        download(cast, card)
        operations.take_along(card=factory.card(cast, cast.ben, on=ON), by=cast.ben, at=AT)
        with django_assert_num_queries(11):
            cast.client("nobody").get("/credentials/status/revocation/0/")

    def test_leave_one_signature_for_the_minutes_they_hold(self, cast: Cast, card: Card, clock: Any) -> None:
        """Asking again changes nothing; another five minutes, or another state, is another signature."""
        download(cast, card)

        def ask() -> tuple[bytes, int]:
            answer = cast.client("nobody").get("/credentials/status/suspension/0/")
            return answer.content, Signature.objects.filter(card=None).count()

        first = ask()
        clock.shift(timedelta(minutes=4, seconds=59))
        assert ask() == first
        assert json.loads(first[0])["validFrom"] == "2026-11-25T15:00:00Z"
        clock.shift(timedelta(seconds=1))
        assert ask()[1] == 2
        acts.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="Event", on=ON, at=AT)
        assert ask()[1] == 3


class TestCommand:
    """`manage.py verify_credential FILE`."""

    def test_accepts_a_file_as_it_was_sent(self, cast: Cast, card: Card, tmp_path: Path) -> None:
        """And says whose it is and how the card stands."""
        said = check(download(cast, card), tmp_path)
        assert f"card {card.number} of Ada Crew" in said
        assert "Good to the end of 24 Nov 2029." in said

    def test_refuses_a_later_last_day(self, cast: Cast, card: Card, tmp_path: Path) -> None:
        """validUntil moved by a year."""
        with pytest.raises(CommandError, match="Do not rely"):
            check(download(cast, card) | {"validUntil": "2030-11-25T00:00:00Z"}, tmp_path)

    def test_refuses_a_file_of_a_withdrawn_card(self, cast: Cast, card: Card, tmp_path: Path) -> None:
        """Genuine, and good no more."""
        document = download(cast, card)
        acts.measure(card=card, step=Step.WITHDRAWN, by=cast.max, reason="Event", on=ON, at=AT)
        with pytest.raises(CommandError):
            check(document, tmp_path)

    def test_refuses_another_issuer(self, cast: Cast, card: Card, tmp_path: Path) -> None:
        """Nothing is fetched to find out."""
        document = download(cast, card)
        document["issuer"]["id"] = "https://elsewhere.example.org/"
        with pytest.raises(CommandError):
            check(document, tmp_path)

    def test_refuses_a_card_that_is_not_on_record(self, cast: Cast, card: Card, tmp_path: Path) -> None:
        """As after a register was put back from an older copy."""
        document = download(cast, card)
        Credential.objects.all().delete()
        with pytest.raises(CommandError):
            check(document, tmp_path)

    def test_refuses_a_key_that_is_not_on_record(self, cast: Cast, card: Card, tmp_path: Path) -> None:
        """Signed by somebody else."""
        document = download(cast, card)
        Signature.objects.all().delete()
        CardKey.objects.all().delete()
        with pytest.raises(CommandError):
            check(document, tmp_path)

    @pytest.mark.parametrize("text", ["", "[1, 2]", "{", "[" * 100_000, "7" * 300_000])
    def test_refuses_what_is_no_such_file(self, db: None, tmp_path: Path, text: str) -> None:
        """With a sentence."""
        file = tmp_path / "card.json"
        file.write_text(text, encoding="utf-8")
        with pytest.raises(CommandError):
            call_command("verify_credential", str(file), stdout=StringIO())

    def test_refuses_a_missing_file(self, db: None, tmp_path: Path) -> None:
        """With its name."""
        with pytest.raises(CommandError, match="cannot be read"):
            call_command("verify_credential", str(tmp_path / "none.json"), stdout=StringIO())
