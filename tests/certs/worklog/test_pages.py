"""Recording on a plain form, and confirming work on what was recorded."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from certs.cards import operations as cards
from certs.cards.models import Card, Confirmation
from certs.photos.models import Photo
from certs.worklog import queries
from certs.worklog.models import WorkEntry
from tests.cast import AT, ON, Cast
from tests.certs import factory
from tests.certs.photos import pictures
from tests.certs.worklog.making import TYPED, record
from training.people.models import Person
from training.quizzes.models import Paper


@pytest.fixture(autouse=True)
def clock() -> object:
    with time_machine.travel(AT, tick=False) as travel:
        yield travel


@pytest.fixture
def card(cast: Cast) -> Card:
    return factory.card(cast, cast.ada, on=ON)


def url(page: str, *args: object) -> str:
    return reverse(f"worklog:{page}", args=args)


def typed(**changes: object) -> dict[str, object]:
    return TYPED | {"key": str(uuid4())} | changes


class TestAdd:
    def test_records_without_javascript(self, cast: Cast, card: Card) -> None:
        """And says so, in the list."""
        page = cast.client("ada").post(url("add"), typed(), follow=True).text
        assert "The bonds are on record." in page
        assert "Down line, 12.4 km" in page and "\N{MINUS SIGN}4.5 °C" in page and "62.50 µΩ" in page
        assert WorkEntry.objects.get().phone_time is None

    def test_sent_twice_records_once(self, cast: Cast, card: Card) -> None:
        """A second press of the button is the same record."""
        sent = typed()
        for _n in range(2):
            assert cast.client("ada").post(url("add"), sent).status_code == 302
        assert WorkEntry.objects.count() == 1

    def test_of_a_used_form_with_other_words_is_refused(self, cast: Cast, card: Card) -> None:
        """What was recorded stays; the sentence says what to do."""
        sent = typed()
        cast.client("ada").post(url("add"), sent)
        page = cast.client("ada").post(url("add"), sent | {"bonds": "60"}).text
        assert "Open an empty one" in page
        assert WorkEntry.objects.get().bonds == 6

    def test_takes_a_photo(self, cast: Cast, card: Card) -> None:
        """Made anew, shown with the entry, once for a form that is sent twice."""
        sent = typed()
        for _n in range(2):
            photo = SimpleUploadedFile("x.jpg", pictures.located(), content_type="image/jpeg")
            cast.client("ada").post(url("add"), sent | {"photo": photo})
        photo = Photo.objects.get()
        assert (photo.kind, str(photo.record)) == ("bonds", sent["key"])
        assert reverse("photos:photo", args=[photo.pk]) in cast.client("ada").get(url("index")).text

    def test_says_what_is_wrong_beside_the_field(self, cast: Cast, card: Card) -> None:
        """Nothing typed is lost, and neither a bad photo nor a bad day leaves an entry behind."""
        bad = SimpleUploadedFile("x.svg", b"<svg onload='alert(1)'/>", content_type="image/jpeg")
        page = cast.client("ada").post(url("add"), typed(bonds="6,5", photo=bad)).text
        assert "Give a whole number of bonds" in page and "Down line, 12.4 km" in page and "<title>Error:" in page
        bad = SimpleUploadedFile("x.svg", b"<svg onload='alert(1)'/>", content_type="image/jpeg")
        assert "not a photo that can be read" in cast.client("ada").post(url("add"), typed(photo=bad)).text
        assert "Give today or an earlier day" in cast.client("ada").post(url("add"), typed(done_on="2026-12-01")).text
        assert not WorkEntry.objects.exists()

    def test_offers_the_schemes_of_ones_cards_first(self, cast: Cast, card: Card) -> None:
        """Nobody looks for their own among others."""
        factory.scheme_issue(slug="anodes", title="Anode leads")
        assert [issue.scheme.slug for issue in queries.choices(cast.ada, on=ON)] == ["bonds", "anodes"]
        assert [issue.scheme.slug for issue in queries.choices(cast.ben, on=ON)] == ["anodes", "bonds"]

    def test_carries_what_the_queue_needs(self, cast: Cast, card: Card) -> None:
        """Kind, key, address and maker."""
        page = cast.client("ada").get(url("add"))
        key = page.context["record"]
        assert f'data-queue="bonds" data-record="{key}"' in page.text
        assert f'data-send="{url("receive", key)}" data-made-by="{cast.ada.pk}"' in page.text
        assert f'value="{key}"' in page.text


class TestConfirm:
    """A supervisor confirms beside what the holder recorded, or is told why not."""

    @pytest.mark.parametrize(
        ("who", "status"),
        [("sol", 200), ("ada", 403), ("tess", 403), ("max", 403), ("ben", 404), ("quin", 404), ("rex", 404)],
    )
    def test_is_for_the_supervisor(self, cast: Cast, card: Card, who: str, status: int) -> None:
        """A stranger's card is not confirmed to exist."""
        assert cast.client(who).get(url("confirm", card.number)).status_code == status

    def test_is_not_for_ones_own_work(self, cast: Cast) -> None:
        """Not even a supervisor's."""
        own = factory.card(cast, cast.sol, on=ON)
        assert cast.client("sol").get(url("confirm", own.number)).status_code == 403

    def test_shows_the_evidence_and_counts_the_bonds(self, cast: Cast, card: Card) -> None:
        """The number and the words are filled in from the entries of this card."""
        record(cast.ada, card.scheme, done_on=ON, bonds=6, at=AT, job="J 7")
        record(cast.ada, card.scheme, done_on=ON, bonds=8, at=AT + timedelta(seconds=1), job="J 9", place="Up line")
        record(cast.ben, card.scheme, done_on=ON, bonds=50, at=AT)
        other = factory.scheme_issue(slug="anodes").scheme
        record(cast.ada, other, done_on=ON, bonds=70, at=AT)
        page = cast.client("sol").get(url("confirm", card.number)).text
        assert "14 bonds recorded" in page and "Up line" in page
        assert 'value="14"' in page
        assert "The holder&#x27;s own records (2): 25 Nov 2026. Jobs: J 7, J 9." in page

    def test_shows_the_photos_of_the_holder_only(self, cast: Cast, card: Card) -> None:
        """A photo names its record itself, so one that somebody else sent is no evidence of it."""
        entry = record(cast.ada, card.scheme, done_on=ON, bonds=6, at=AT)
        facts = {"kind": "bonds", "record": entry.pk, "digest": "", "jpeg": b"", "kept_at": AT}
        hers, his = (Photo.objects.create(id=uuid4(), made_by=who, **facts).pk for who in (cast.ada, cast.ben))
        page = cast.client("sol").get(url("confirm", card.number)).text
        assert str(hers) in page and str(his) not in page

    def test_records_and_counts_from_nought_again(self, cast: Cast, card: Card, clock: time_machine.Traveller) -> None:
        """The history shows it; an entry made before, but received later, counts the next time."""
        record(cast.ada, card.scheme, done_on=ON, bonds=6, at=AT)
        clock.move_to(AT + timedelta(days=90))
        sent = {"shots": "24", "evidence": "jobs 7 and 8", "doubts": "no"}
        answer = cast.client("sol").post(url("confirm", card.number), sent, follow=True)
        assert answer.redirect_chain == [(reverse("cards:card", args=[card.number]), 302)]
        assert Confirmation.objects.get().shots == 24
        assert "jobs 7 and 8" in answer.text
        assert "The work of Ada Crew is confirmed. The next confirmation is due by 23 Aug 2027." in answer.text
        later = AT + timedelta(days=91)
        assert queries.evidence(card, on=later.date()).bonds == 0
        record(cast.ada, card.scheme, done_on=ON + timedelta(days=3), bonds=5, at=later)
        assert queries.evidence(card, on=later.date()).bonds == 5

    def test_keeps_what_was_typed_and_says_what_is_missing(self, cast: Cast, card: Card) -> None:
        """Each sentence stands next to its field."""
        page = cast.client("sol").post(url("confirm", card.number), {"shots": "two", "evidence": "job 7"}).text
        assert "Give a whole number of bonds" in page
        assert "Answer yes or no." in page
        assert "job 7</textarea>" in page
        assert "<title>Error:" in page

    def test_says_that_it_is_too_late(self, cast: Cast, card: Card, clock: time_machine.Traveller) -> None:
        """The rule's own sentence."""
        clock.move_to(AT + timedelta(days=200))
        sol, own = cast.client("sol"), reverse("cards:card", args=[card.number])
        sent = {"shots": "24", "evidence": "jobs", "doubts": "no"}
        assert "It is too late to confirm this work" in sol.get(url("confirm", card.number)).text
        assert "does not mend a card" in sol.post(url("confirm", card.number), sent).text
        assert url("confirm", card.number) not in sol.get(own).text
        assert not Confirmation.objects.exists()

    def test_says_what_a_doubt_does(self, cast: Cast, card: Card) -> None:
        """The card is suspended, and the supervisor has to keep the person from the work."""
        assert url("confirm", card.number) in cast.client("sol").get(reverse("cards:card", args=[card.number])).text
        sent = {"shots": "24", "evidence": "jobs", "doubts": "yes"}
        page = cast.client("sol").post(url("confirm", card.number), sent, follow=True).text
        assert "Ada Crew does no work under this card until it is reinstated" in page
        assert "Suspended since" in page


class TestOverdue:
    """ISO 9606-1:2012, 9.2 and EN 13133, as assessment rules give them: confirmed every six months, or it stops."""

    def test_shows_everywhere_at_once(self, cast: Cast, clock: time_machine.Traveller) -> None:
        """Issued on 31 August, due on 28 February: on 1 March home, card, record, board and list say so."""
        first = date(2026, 8, 31)
        # Out of use, so that the home page asks nothing of it.
        Paper.objects.create(slug="theory", retired_at=factory.noon(first))
        card = factory.card(cast, cast.ada, on=first)
        own, supervisor = cast.client("ada"), cast.client("sol")
        pages = [
            (own, "/?own"),
            (own, reverse("cards:card", args=[card.number])),
            (own, reverse("records:person", args=[cast.ada.pk])),
            (own, url("index")),
            (supervisor, "/"),
            (supervisor, reverse("board:grid")),
            (supervisor, url("people")),
        ]
        said: dict[str, list[int]] = {address: [] for _client, address in pages}
        for day in (date(2027, 2, 28), date(2027, 3, 1)):
            clock.move_to(factory.noon(day))
            for client, address in pages:
                client.force_login(cast.ada if client is own else cast.sol)
                said[address].append(client.get(address).text.count("standing-work-not-confirmed"))
        assert [address for address, (before, after) in said.items() if after <= before] == []

    def test_is_not_when_it_was_confirmed_on_the_last_day(self, cast: Cast) -> None:
        """On the due day still; from then six months on."""
        card = factory.card(cast, cast.ada, on=date(2026, 8, 31))
        last = date(2027, 2, 28)
        cards.confirm(
            card=card, by=cast.sol, shots=6, evidence="J 7", doubts=False, on=last, at=factory.noon(last)
        )  # fmt: skip
        (one,) = queries.holders(
            Person.objects.filter(pk=cast.ada.pk), mine=Person.objects.filter(pk=cast.ada.pk), on=date(2027, 8, 28)
        )
        assert (one.tally.face.confirmed_to, one.tally.late, one.may_confirm) == (date(2027, 8, 28), False, True)
        (one,) = queries.holders(
            Person.objects.filter(pk=cast.ada.pk), mine=Person.objects.filter(pk=cast.ada.pk), on=date(2027, 8, 29)
        )
        assert (one.tally.late, one.may_confirm) == (True, False)


class TestPeople:
    def test_lists_the_nearest_day_first(self, cast: Cast) -> None:
        """Who, by when, and how many bonds are recorded; own employer only."""
        factory.card(cast, cast.ben, on=ON)
        early = factory.card(cast, cast.ada, on=ON - timedelta(days=100))
        factory.card(cast, cast.quin, on=ON)
        record(cast.ada, early.scheme, done_on=ON, bonds=9, at=AT)
        page = cast.client("sol").get(url("people"))
        assert [one.name for one in page.context["page"]] == ["Ada Crew", "Ben Crew"]
        assert page.context["page"][0].tally.bonds == 9
        assert "Confirm the work of Ada Crew" in page.text and "Quin" not in page.text

    def test_asks_as_often_for_many_as_for_one(self, cast: Cast) -> None:
        """However many people hold cards."""

        def asked() -> int:
            with CaptureQueriesContext(connection) as seen:
                queries.holders(Person.objects.all(), mine=Person.objects.filter(pk=cast.ada.pk), on=ON)
            return len(seen)

        factory.card(cast, cast.ada, on=ON)
        one = asked()
        factory.card(cast, cast.ben, on=ON)
        factory.card(cast, cast.quin, on=ON)
        assert asked() == one

    def test_does_not_count_for_somebody_elses_supervisor(self, cast: Cast, card: Card) -> None:
        """A trainer of the body sees the list and confirms nothing."""
        page = cast.client("tess").get(url("people")).text
        assert "Ada Crew" in page
        assert "Confirm the work of" not in page


class TestHiddenKey:
    @pytest.mark.parametrize("key", ["{}", "", "\0"])
    def test_is_made_anew_where_it_is_none(self, cast: Cast, card: Card, key: str) -> None:
        """The page comes back with its faults, not a fault of the site."""
        answer = cast.client("ada").post(url("add"), {"key": key, "place": "Siding"})
        assert answer.status_code == 200
        assert "key" not in answer.context["form"].errors
