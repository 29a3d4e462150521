"""The photo for the card: put up with consent, seen by few, printed while the consent stands, gone with it."""

import io
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pypdf
import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from PIL import Image

from certs.batches import operations as batches
from certs.batches.models import Batch
from certs.cards import operations as acts
from certs.cards import queries as cards
from certs.cards.models import Card
from certs.cards.pdf import Layout
from certs.cards.queries import code_url
from certs.cards.rules import Step
from certs.photos.rules import MOST_BYTES, PORTRAIT
from certs.portraits import operations, queries
from certs.portraits.models import Consent, Portrait
from certs.portraits.rules import SHOWN_FOR
from tests.cast import AT, ON, Cast
from tests.certs import factory
from tests.certs.photos import pictures
from training.ledger.models import Entry
from training.people.models import Person

LARGE = pictures.located((1200, 900))


@pytest.fixture
def card(cast: Cast, card_key: Path) -> Card:
    return factory.card(cast, cast.ada, on=ON)


@pytest.fixture(autouse=True)
def today() -> Any:
    with time_machine.travel(AT, tick=False):
        yield


def send(client: Client, person: Person, raw: bytes = LARGE, **typed: str) -> HttpResponse:
    sent = {"photo": SimpleUploadedFile("me.jpg", raw, "image/jpeg"), "agreed": "on"} | typed
    return client.post(reverse("portraits:person", args=[person.pk]), sent)


def own(person: Person, *, at_check: bool = True) -> Portrait:
    facts: dict[str, Any] = {"agreed_on": ON, "how": "", "at_check": at_check, "on": ON, "at": AT}
    return operations.put_up(person=person, by=person, photo=LARGE, **facts)


def images(made: bytes) -> set[tuple[int, int]]:
    """Return the sizes of the photos in a PDF, by another library than the one that wrote it; codes are square."""
    reader = pypdf.PdfReader(io.BytesIO(made))
    sizes = {image.image.size for page in reader.pages for image in page.images if image.image}
    return {size for size in sizes if size[0] != size[1]}


class TestPutUp:
    def test_keeps_a_small_photo_with_the_consent(self, cast: Cast) -> None:
        """Who agreed, when, to what; the ledger has the consent and nothing of the picture."""
        assert send(cast.client("ada"), cast.ada).status_code == 302
        consent = Consent.objects.get()
        assert (consent.person, consent.entered_by, consent.agreed_on, consent.entered_at) == (
            cast.ada, cast.ada, ON, AT,
        )  # fmt: skip
        assert not consent.at_check
        jpeg = bytes(consent.portrait.jpeg)
        assert Image.open(io.BytesIO(jpeg)).size == PORTRAIT
        assert b"GPS" not in jpeg and b"Maker" not in jpeg
        entry = Entry.objects.get()
        assert entry.act == "card photo consent given"
        assert entry.about == {"person": cast.ada.pk, "consent": consent.pk, "at_check": False}

    def test_shows_it_as_it_is_printed(self, cast: Cast) -> None:
        """With what was agreed to."""
        send(cast.client("ada"), cast.ada, at_check="on")
        page = cast.client("ada").get(reverse("portraits:person", args=[cast.ada.pk])).text
        assert reverse("portraits:photo", args=[Portrait.objects.get().pk]) in page
        assert "shown to whoever checks the card" in page
        assert "Agreed on 25 Nov 2026, entered by Ada Crew" in page

    def test_replaces_the_one_before(self, cast: Cast) -> None:
        """The old one is deleted, its consent stays on record as ended."""
        old = own(cast.ada)
        send(cast.client("ada"), cast.ada, pictures.jpeg((600, 800)))
        assert Portrait.objects.get().pk != old.pk
        assert [one.ended_at for one in Consent.objects.order_by("pk")] == [AT, None]
        acts = list(Entry.objects.order_by("seq").values_list("act", flat=True))
        assert acts == ["card photo consent given", "card photo replaced", "card photo consent given"]
        assert "Earlier consents" in cast.client("ada").get(reverse("portraits:person", args=[cast.ada.pk])).text

    def test_is_done_by_an_administrator_who_says_how_the_person_agreed(self, cast: Cast) -> None:
        """And on which day, which cannot be still to come."""
        how = {"how": "Signed the form of 20 November", "agreed_on": "2026-11-20"}
        assert send(cast.client("max"), cast.ada, **how).status_code == 302
        consent = Consent.objects.get()
        assert (consent.entered_by, consent.agreed_on.isoformat(), consent.how) == (
            cast.max, "2026-11-20", how["how"],
        )  # fmt: skip
        for change, sentence in (
            ({"how": ""}, "Say how the person agreed"),
            ({"agreed_on": "2026-11-26"}, "it cannot be still to come"),
            ({"agreed_on": "soon"}, "Give the day as 2026-11-30"),
        ):
            answer = send(cast.client("max"), cast.ada, **how | change)
            assert sentence in answer.text
        assert Consent.objects.count() == 1

    @pytest.mark.parametrize(
        ("raw", "sentence"),
        [
            (b"", "This file is empty"),
            (b"<svg/>", "not a photo that can be read"),
            (b"\xff\xd8" + b"\0" * MOST_BYTES, "over 12 MB"),
            (pictures.png_of(30_000, 30_000), "over 50 million points"),
            (pictures.jpeg((200, 200)), "too small for a card"),
            (pictures.jpeg((900, 900))[:3000], "cut off or damaged"),
        ],
    )
    def test_is_refused_beside_the_field(self, cast: Cast, raw: bytes, sentence: str) -> None:
        """The sentence says what to do, the page is marked as having errors, what was ticked stays ticked."""
        answer = send(cast.client("ada"), cast.ada, raw, at_check="on")
        assert answer.status_code == 200
        assert sentence in answer.text and "<title>Error:" in answer.text
        assert sentence in str(answer.context["form"].errors["photo"])
        assert 'name="at_check"' in answer.text and "checked" in answer.text
        assert not Consent.objects.exists() and not Entry.objects.exists()

    def test_needs_the_tick(self, cast: Cast) -> None:
        """No consent, no photo."""
        assert "Tick this if you agree" in send(cast.client("ada"), cast.ada, agreed="").text
        assert not Consent.objects.exists()

    def test_refuses_a_replaced_photo_without_losing_the_first(self, cast: Cast) -> None:
        """What stands is ended only when the new one can be kept."""
        kept = own(cast.ada)
        send(cast.client("ada"), cast.ada, b"<svg/>")
        assert Portrait.objects.get() == kept


class TestWho:
    @pytest.mark.parametrize(
        ("name", "status"),
        [(name, 200) for name in ("ada", "sol", "olga", "max")]
        + [(name, 404) for name in ("ben", "quin", "rex")]
        + [("nobody", 302)],
    )
    def test_sees_it(self, cast: Cast, name: str, status: int) -> None:
        """Who may open the record sees it; a colleague, a stranger and another employer's supervisor find nothing."""
        shown = cast.client(name).get(reverse("portraits:photo", args=[own(cast.ada).pk]))
        assert shown.status_code == status
        if status == 200:
            assert shown["Content-Type"] == "image/jpeg" and shown["X-Content-Type-Options"] == "nosniff"
            assert shown["Cache-Control"] == "no-store"

    @pytest.mark.parametrize(
        ("name", "status"), [("ben", 404), ("quin", 404), ("sol", 403), ("olga", 403), ("nobody", 302)]
    )
    def test_may_not_put_it_up_or_take_it_away(self, cast: Cast, name: str, status: int) -> None:
        """The person and administrators only."""
        own(cast.ada)
        client = cast.client(name)
        assert send(client, cast.ada).status_code == status
        for act in ("take_away", "keep_from_check"):
            assert client.post(reverse(f"portraits:{act}", args=[cast.ada.pk])).status_code == status
        assert Portrait.objects.count() == 1 and Consent.objects.get().at_check

    def test_finds_nothing_where_there_is_nothing(self, cast: Cast) -> None:
        """A key that never was."""
        assert cast.client("max").get(reverse("portraits:photo", args=[uuid4()])).status_code == 404


class TestWithdrawn:
    def test_deletes_the_photo_and_keeps_that_there_was_consent(self, cast: Cast) -> None:
        """Its address is dead at once; a second press changes nothing."""
        key = own(cast.ada).pk
        for _press in range(2):
            assert cast.client("ada").post(reverse("portraits:take_away", args=[cast.ada.pk])).status_code == 302
        assert not Portrait.objects.exists()
        assert (Consent.objects.get().ended_at, Consent.objects.get().ended_by) == (AT, cast.ada)
        assert cast.client("ada").get(reverse("portraits:photo", args=[key])).status_code == 404
        assert [one.act for one in Entry.objects.order_by("seq")][1:] == ["card photo consent withdrawn"]

    def test_prints_the_next_card_without(self, cast: Cast, card: Card) -> None:
        """Before, with it: read back by another library."""
        own(cast.ada)
        url = reverse("cards:pdf", args=[card.number])
        assert images(cast.client("ada").get(url).content) == {PORTRAIT}
        operations.take_away(person=cast.ada, by=cast.ada, at=AT)
        assert images(cast.client("ada").get(url).content) == set()

    def test_empties_the_prints_that_hold_it(self, cast: Cast, card: Card) -> None:
        """A batch made with it stops, holds nothing, and goes on without it; another's batch stays."""
        other = factory.card(cast, cast.quin, on=ON)
        own(cast.ada)
        both = [self.made(cast.sol, card), self.made(cast.rex, other)]
        assert [images(bytes(one.pdf)) for one in both] == [{PORTRAIT}, set()]
        operations.take_away(person=cast.ada, by=cast.ada, at=AT)
        emptied, kept = (Batch.objects.get(pk=one.pk) for one in both)
        assert (bytes(emptied.pdf), emptied.made_at, emptied.stopped_at) == (b"", None, AT)
        assert bytes(kept.pdf) == bytes(both[1].pdf)
        again = self.finished(batches.resume(batch=emptied))
        assert again.made_at == AT and images(bytes(again.pdf)) == set()

    def made(self, by: Person, card: Card) -> Batch:
        return self.finished(batches.ask(by=by, chosen=[card], layout=Layout.TEN, language="", at=AT))

    def finished(self, batch: Batch) -> Batch:
        for _step in range(2):
            batch = batches.advance(batch=batch, at=AT)
        return batch


class TestAtCheck:
    def asked(self, card: Card) -> str:
        return Client().get(reverse("checking:number", args=[card.number])).text

    def address(self, page: str) -> str:
        return page.partition('<img class="photo" src="')[2].partition('"')[0]

    def test_is_shown_to_who_has_the_number_or_the_code(self, cast: Cast, card: Card) -> None:
        """Where the holder agreed to that; the address needs no sign-in, and nothing is kept of the answer."""
        own(cast.ada)
        face = cards.face(card, on=ON)
        by_code = Client().post(reverse("checking:code"), {"code": code_url(face)}).text
        for page in (self.asked(card), by_code):
            assert "agreed that this photo is shown here" in page
            shown = Client().get(self.address(page))
            assert shown.content == bytes(Portrait.objects.get().jpeg)
            assert "no-store" in shown["Cache-Control"]

    def test_is_not_shown_without_that_consent(self, cast: Cast, card: Card) -> None:
        """Printed it is all the same; the check says to compare with a proof of identity."""
        own(cast.ada, at_check=False)
        assert 'class="photo"' not in self.asked(card)
        assert "proof of identity that has a picture" in self.asked(card)

    @pytest.mark.parametrize("act", ["take_away", "keep_from_check"])
    def test_goes_at_once_when_that_is_taken_back(self, cast: Cast, card: Card, act: str) -> None:
        """The address that was handed out is dead as well."""
        own(cast.ada)
        address = self.address(self.asked(card))
        assert cast.client("ada").post(reverse(f"portraits:{act}", args=[cast.ada.pk])).status_code == 302
        assert 'class="photo"' not in self.asked(card)
        assert Client().get(address).status_code == 404
        assert Portrait.objects.exists() == (act == "keep_from_check")

    def test_is_over_after_a_while(self, cast: Cast, card: Card) -> None:
        """An address passed on shows nothing, and a changed one never did."""
        own(cast.ada)
        address = self.address(self.asked(card))
        assert Client().get(address[:-3] + "xx/").status_code == 404
        assert Client().get(reverse("portraits:at_check", args=["x"])).status_code == 404
        with time_machine.travel(AT + SHOWN_FOR + timedelta(seconds=1), tick=False):
            assert Client().get(address).status_code == 404

    def test_is_not_shown_of_a_card_that_is_refused(self, cast: Cast, card: Card) -> None:
        """Nobody works on it, so nobody has to be compared."""
        own(cast.ada)
        acts.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="Audit", on=ON, at=AT)
        assert 'class="photo"' not in self.asked(card)


class TestTables:
    def consent(self, cast: Cast, **changes: Any) -> Consent:
        facts = {"person": cast.ada, "agreed_on": ON, "at_check": False, "entered_by": cast.ada, "entered_at": AT}
        return Consent(**facts | changes)

    def test_hold_the_rules_with_a_sentence(self, cast: Cast) -> None:
        """The database refuses what a form would never send."""
        self.consent(cast).save()
        for changes, sentence in (
            ({}, "This person has a photo already"),
            ({"entered_by": cast.max}, "Say how the person agreed"),
            ({"ended_at": AT}, "A consent ends after it was entered, by somebody."),
            ({"ended_at": AT - timedelta(days=1), "ended_by": cast.ada}, "A consent ends after it was entered"),
        ):
            wrong = self.consent(cast, **changes)
            with pytest.raises(ValidationError) as caught:
                wrong.validate_constraints()
            assert sentence in str(caught.value)
            with pytest.raises(IntegrityError), transaction.atomic():
                wrong.save()

    @pytest.mark.parametrize("jpeg", [b"", b"x" * 60_001])
    def test_hold_small_photos_only(self, cast: Cast, jpeg: bytes) -> None:
        """Neither nothing nor a photo as a phone takes it."""
        consent = self.consent(cast)
        consent.save()
        wrong = Portrait(consent=consent, jpeg=jpeg)
        with pytest.raises(ValidationError, match="at most 60 kB"):
            wrong.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            wrong.save()

    def test_cost_one_query_for_many_prints(self, cast: Cast, django_assert_num_queries: Any) -> None:
        """A sheet of ten asks once."""
        own(cast.ada)
        own(cast.ben)
        with django_assert_num_queries(1):
            assert set(queries.printed([cast.ada.pk, cast.ben.pk, cast.quin.pk])) == {cast.ada.pk, cast.ben.pk}
