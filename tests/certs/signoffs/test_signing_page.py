"""Signing filled sheets, one or several, and sending one back, through the client."""

from datetime import timedelta
from io import BytesIO
from uuid import uuid4

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from certs.cards.models import Card
from certs.cards.operations import measure
from certs.cards.rules import Step
from certs.photos.models import Photo
from certs.photos.operations import keep
from certs.signoffs.models import DoAgain, ReceivedSheet, Signoff
from certs.signoffs.rules import Confirmed
from tests.cast import AT, ON, PASSWORD
from tests.certs.signoffs.making import page, sheet_url, typed
from training.ledger.models import Entry, NotEdited
from training.people.access import proof_of
from training.people.models import Person

pytestmark = pytest.mark.usefixtures("today")


def sent(ground, *, who="olga", scheme="straight", candidate=None, **changes) -> ReceivedSheet:
    """Send a sheet of Ada as Olga, and return it as it was kept."""
    candidate = candidate or ground.cast.ada
    facts = typed(candidate, scheme=scheme, **changes)
    answer = ground.cast.client(who).post(sheet_url(candidate, scheme), facts)
    assert answer.status_code == 302, page(answer)
    return ReceivedSheet.objects.get(pk=facts["key"])


def sign(ground, sheet, *, who="olga", follow=True, **changes):
    facts = {f"confirm_{sheet.pk}": PASSWORD, "password": PASSWORD} | changes
    return ground.cast.client(who).post(reverse("signoffs:filled", args=[sheet.pk]), facts, follow=follow)


class TestOneSheet:
    def test_says_what_each_name_will_stand_for(self, ground):
        shown = page(ground.cast.client("olga").get(reverse("signoffs:filled", args=[sent(ground).pk])))
        for words in (
            "I, Olga Assessor, saw Ada Crew do this practical on 25 Nov 2026 under Rail bonds, issue 1, and stand for",
            "Ada Crew confirms: &quot;I did this practical on 25 Nov 2026",
            "Ada Crew: your own password",
            "Good bonds: 3 of 3, which shows that at least 36.8 %",
            "60.00 ± ",
        ):
            assert words.replace("&quot;", '"') in shown.replace("&quot;", '"'), words

    def test_signs_what_was_read_when_it_came(self, ground):
        sheet = sent(ground, pause_1_begun="08:30", pause_1_ended="08:40", pause_1_why="Train", bond_3_again="repaired",
                     bond_3_why="Contact burnt")  # fmt: skip
        answer = sign(ground, sheet)
        signed = Signoff.objects.get()
        assert answer.redirect_chain == [(reverse("signoffs:signoff", args=[signed.pk]), 302)]
        assert (signed.pk, signed.sheet, signed.assessor, signed.confirmed) == (
            sheet.pk, sheet, ground.cast.olga, Confirmed.PASSWORD
        )  # fmt: skip
        assert Card.objects.get().evidence == signed
        assert [entry.act for entry in Entry.objects.order_by("seq")] == [
            "sheet received", "practical signed", "card issued"
        ]  # fmt: skip
        about = Entry.objects.get(act="practical signed").about
        assert (about["received"], about["confirmed by the candidate"]) == (sheet.digest, "password")
        shown = page(answer)
        for words in (
            Card.objects.get().number, "60.00 ± ", "39.60 V, go, M-1",
            "Good bonds: 3 of 3, which shows that at least 36.8 %",
            "Setting up, revision 1", "9 of 10 marks", "air −12.5 °C, cells 4.0 °C", "Four-wire set S-1",
            "08:10 to 09:55",
            "08:30 to 08:40: Train", "Made again after a repair of the gun: Contact burnt", "with their own password",
            Entry.objects.get(act="practical signed").mark,
        ):  # fmt: skip
            assert words in shown, words

    def test_signed_twice_is_one_record(self, ground):
        """Whoever sends it again because the first reply never came is shown the record, not a refusal."""
        sheet = sent(ground)
        sign(ground, sheet)
        again = sign(ground, sheet)
        assert again.redirect_chain == [(reverse("signoffs:signoff", args=[Signoff.objects.get().pk]), 302)]
        assert (Signoff.objects.count(), Card.objects.count()) == (1, 1)

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({"password": "wrong"}, "This is not your password"),
            ({"password": ""}, "Type your password"),
            ({"confirm": "wrong"}, "This is not the password of Ada Crew"),
            ({"confirm": ""}, "Ada Crew confirms this, nobody else"),
        ],
    )
    def test_is_not_signed_without_both(self, ground, change, sentence):
        sheet = sent(ground)
        changes = {f"confirm_{sheet.pk}" if name == "confirm" else name: value for name, value in change.items()}
        answer = sign(ground, sheet, **changes)
        assert sentence in page(answer)
        assert PASSWORD not in answer.content.decode()
        assert not Signoff.objects.exists()

    def test_takes_a_box_from_a_candidate_who_has_no_password_yet(self, ground):
        ground.cast.ada.set_unusable_password()
        ground.cast.ada.save()
        sheet = sent(ground)
        shown = page(ground.cast.client("olga").get(reverse("signoffs:filled", args=[sheet.pk])))
        assert "I am Ada Crew. It went as this sheet says" in shown
        assert "Ada Crew confirms this, nobody else" in page(sign(ground, sheet, **{f"confirm_{sheet.pk}": ""}))
        sign(ground, sheet, **{f"confirm_{sheet.pk}": "on"})
        assert Signoff.objects.get().confirmed == Confirmed.BOX

    def test_asks_once_more_before_it_is_signed_as_not_passed(self, ground):
        sheet = sent(ground, check_pack=None)
        assert "I sign it as not passed" in page(sign(ground, sheet))
        assert not Signoff.objects.exists()
        answer = sign(ground, sheet, **{f"agreed_{sheet.pk}": "on"})
        assert "Not passed." in page(answer)
        assert not Card.objects.exists()

    def test_stops_looking_at_passwords_after_five(self, ground):
        sheet = sent(ground)
        answers = [sign(ground, sheet, password="wrong") for _ in range(6)]
        assert "This is not your password" in page(answers[0])
        assert "Too many wrong passwords" in page(answers[-1])
        assert "Too many wrong passwords" in page(sign(ground, sheet))
        assert not Signoff.objects.exists()

    def test_counts_the_candidates_wrong_passwords_for_the_candidate(self, ground):
        sheet = sent(ground)
        for _ in range(5):
            sign(ground, sheet, **{f"confirm_{sheet.pk}": "wrong"})
        assert "Too many wrong passwords" in page(sign(ground, sheet))

    def test_asks_no_password_for_five_minutes_after_it_was_shown_who_signs(self, ground):
        """Once: what is signed next asks anew."""
        sheet, client = sent(ground), ground.cast.client("olga")
        url = reverse("signoffs:filled", args=[sheet.pk])

        def prove() -> str:
            return page(client.post("/account/again/", {"password": PASSWORD, "next": url}, follow=True))

        assert "no password is asked" in prove()
        with time_machine.travel(timezone.now() + timedelta(seconds=301)):
            assert "no password is asked" not in page(client.get(url))
            sign(ground, sheet, password="")
            assert not Signoff.objects.exists()
            assert "no password is asked" in prove()
            sign(ground, sheet, password="")
            assert Signoff.objects.count() == 1
            assert not proof_of(client.get("/").wsgi_request).is_fresh

    def test_says_why_a_card_is_refused(self, ground):
        ground.sign()
        card = Card.objects.get()
        measure(card=card, step=Step.SUSPENDED, by=ground.cast.max, reason="Doubt", on=ON, at=card.issued_at)
        ground.ready(ground.cast.ada, on=ON)
        answer = sign(ground, sent(ground))
        assert "is suspended: reinstate or withdraw it first" in page(answer)
        assert Signoff.objects.count() == 1

    def test_corrects_a_record_by_a_new_one(self, ground):
        old = ground.sign()
        url = sheet_url(ground.cast.ada, query=f"?replaces={old.pk}")
        facts = typed(ground.cast.ada, place="Yard 8", replaces=str(old.pk))
        ground.cast.client("olga").post(url, facts)
        answer = sign(ground, ReceivedSheet.objects.get())
        assert "This record corrects an earlier one" in page(answer)
        shown = page(ground.cast.client("olga").get(reverse("signoffs:signoff", args=[old.pk])))
        assert "Open the record that replaces it" in shown


class TestWhoMaySign:
    """The rules hold at this door too, whatever was true when the sheet was sent."""

    def refused(self, ground, sheet, sentence, *, who="olga"):
        answer = sign(ground, sheet, who=who)
        assert answer.status_code == 403
        assert sentence in page(answer)
        assert not Signoff.objects.exists()

    def test_not_another_assessor(self, ground):
        self.refused(ground, sent(ground), "Olga Assessor saw this practical and signs it", who="tess")

    def test_not_one_whose_permission_ended_since(self, ground):
        sheet = sent(ground)
        ground.cast.olga.authorities.update(until_on=ON - timedelta(days=1))
        self.refused(ground, sheet, "may assess")

    def test_not_one_whose_permission_began_after_the_day(self, ground):
        sheet = sent(ground, assessed_on=(ON - timedelta(days=1)).isoformat())
        ground.cast.olga.authorities.update(from_on=ON)
        self.refused(ground, sheet, "may assess")

    def test_not_the_trainer(self, ground):
        sheet = sent(ground, on_paper="yes", assessor=str(ground.cast.tess.pk))
        TestPhotos().photo(ground, sheet)
        self.refused(ground, sheet, "You trained Ada Crew up to 26 Oct 2026", who="tess")

    def test_not_for_a_closed_account(self, ground):
        sheet = sent(ground)
        Person.objects.filter(pk=ground.cast.ada.pk).update(is_active=False)
        self.refused(ground, sheet, "account is closed")

    @pytest.mark.parametrize(
        ("who", "got", "posted"),
        [("ada", 200, 403), ("sol", 200, 403), ("max", 200, 403), ("ben", 404, 403), ("quin", 404, 403)],
    )
    def test_opens_for_who_sees_the_candidate(self, ground, who, got, posted):
        url = reverse("signoffs:filled", args=[sent(ground).pk])
        assert ground.cast.client(who).get(url).status_code == got
        assert ground.cast.client(who).post(url).status_code in (posted, 404)
        assert ground.cast.client(who).post(reverse("signoffs:again", args=[sent(ground).pk])).status_code == 403


class TestDoAgain:
    def test_keeps_the_reason(self, ground):
        sheet, client = sent(ground), ground.cast.client("olga")
        url = reverse("signoffs:again", args=[sheet.pk])
        assert "Say why: the candidate reads it" in page(client.post(url, {"reason": " "}))
        answer = client.post(url, {"reason": "Readings do not fit the photo"}, follow=True)
        assert "No filled sheet waits for you" in page(answer)
        client.post(url, {"reason": "Another"})
        assert DoAgain.objects.get().reason == "Readings do not fit the photo"
        shown = page(ground.cast.client("ada").get(reverse("signoffs:filled", args=[sheet.pk])))
        assert "Why it is done again: Readings do not fit the photo" in shown
        assert sign(ground, sheet).status_code == 403
        assert not Signoff.objects.exists()
        assert Entry.objects.filter(act="sheet sent back").count() == 1

    def test_is_for_who_saw_it_and_not_for_what_is_signed(self, ground):
        sheet = sent(ground)
        answer = ground.cast.client("tess").post(
            reverse("signoffs:again", args=[sheet.pk]), {"reason": "No"}, follow=True
        )
        assert "Olga Assessor saw this practical and sends it back" in page(answer)
        sign(ground, sheet)
        again = ground.cast.client("olga").post(
            reverse("signoffs:again", args=[sheet.pk]), {"reason": "No"}, follow=True
        )
        assert "This sheet is signed" in page(again)
        assert not DoAgain.objects.exists()


class TestSeveral:
    def test_signs_what_is_ticked_the_oldest_first(self, ground):
        ground.ready(ground.cast.ben)
        late = sent(ground, phone_time="2026-11-25T08:30:00+00:00")
        early = sent(ground, candidate=ground.cast.ben, phone_time="2026-11-24T08:30:00+00:00")
        other = sent(ground, scheme="separate", phone_time="2026-11-25T08:40:00+00:00")
        own = sent(ground, who="olga", on_paper="yes", assessor=str(ground.cast.tess.pk))
        client, url = ground.cast.client("olga"), reverse("signoffs:to_sign")
        shown = page(client.get(url))
        assert shown.index("Ben Crew, 25 Nov") < shown.index("Ada Crew, 25 Nov")
        assert "Tess Trainer saw this practical and signs it" in shown
        both = {f"sign_{one.pk}": "on" for one in (late, early)}
        confirmed = {f"confirm_{one.pk}": PASSWORD for one in (late, early)}
        answer = client.post(url, {**both, **confirmed, "password": PASSWORD}, follow=True)
        assert "Signed: the practical of Ben Crew" in page(answer)
        assert set(Signoff.objects.values_list("pk", flat=True)) == {late.pk, early.pk}
        assert {row.pk for row in ReceivedSheet.objects.filter(signoff=None)} == {other.pk, own.pk}

    def test_asks_for_a_tick_a_confirmation_and_the_password(self, ground):
        sheet, client, url = sent(ground), ground.cast.client("olga"), reverse("signoffs:to_sign")
        assert "Tick at least one sheet to sign" in page(client.post(url, {"password": PASSWORD}))
        shown = page(client.post(url, {f"sign_{sheet.pk}": "on"}))
        assert "Type your password" in shown
        assert "Ada Crew confirms this, nobody else" in shown
        assert not Signoff.objects.exists()

    def test_one_refused_does_not_hold_up_the_others(self, ground):
        """Two sheets of one practical: the first is signed, the second told why not."""
        first, second = sent(ground), sent(ground)
        facts = {f"{name}_{one.pk}": value for one in (first, second) for name, value in
                 (("sign", "on"), ("confirm", PASSWORD))}  # fmt: skip
        answer = ground.cast.client("olga").post(
            reverse("signoffs:to_sign"), facts | {"password": PASSWORD}, follow=True
        )
        assert "This practical is signed already" in page(answer)
        assert Signoff.objects.count() == 1

    def test_stands_first_on_the_list_of_what_waits(self, ground):
        sheet = sent(ground, check_pack=None)
        answer = ground.cast.client("olga").get(reverse("signoffs:waiting"))
        assert "not passed : not seen: Meters the pack" in page(answer)
        assert reverse("signoffs:filled", args=[sheet.pk]) in answer.content.decode()
        home = page(ground.cast.client("olga").get("/"))
        assert "Filled sheets to sign 1 Practicals to see 1" in home

    def test_is_told_to_whoever_would_see_the_practical_again(self, ground):
        client = ground.cast.client("olga")
        waiting = page(client.get(reverse("signoffs:waiting")))
        assert waiting.count("Open the sheet for Ada Crew") == 2
        assert "Practicals to see 2" in page(client.get("/"))
        sent(ground)
        waiting = page(client.get(reverse("signoffs:waiting")))
        assert "Seen already. The sheet waits for the signature of Olga" in waiting
        assert "Open an empty sheet for Ada Crew" in waiting
        assert waiting.count("Open the sheet for Ada Crew") == 1


class TestEvidence:
    def test_a_kept_sheet_is_never_edited_or_deleted(self, ground):
        sheet = sent(ground)
        with pytest.raises(NotEdited):
            sheet.save()
        with pytest.raises(NotEdited):
            sheet.delete()
        assert sheet.clock_off == timedelta(0)
        assert str(sheet) == str(sheet.pk)


class TestRule:
    def test_shows_how_often_each_crew_passes(self, ground):
        """0 bad of 3: 0.8 ** 3 = 51.2 % of crews with one bad bond in five pass; within two tries 76.2 %."""
        client = ground.cast.client("sol")
        shown = page(client.get(reverse("signoffs:rule", args=["straight"])))
        for words in ("3 of 3 shows at least 36.8 %", "20 % 51.2 % 76.2 %", "90 % 29", "95 % 59"):
            assert words in shown, words
        assert client.get(reverse("signoffs:rule", args=["none"])).status_code == 404
        assert ground.cast.client("ada").get(reverse("signoffs:rule", args=["straight"])).status_code == 403


class TestPhotos:
    def photo(self, ground, sheet, *, by=None, at=AT) -> Photo:
        made = BytesIO()
        Image.new("RGB", (40, 30), "red").save(made, "JPEG")
        facts = {"key": uuid4(), "kind": "sheet", "record": sheet.pk, "raw": made.getvalue(), "taken_at": at, "at": at}
        return keep(made_by=by or ground.cast.olga, **facts)[0]

    def test_are_shown_to_who_may_see_the_sheet(self, ground):
        sheet = sent(ground)
        photo = self.photo(ground, sheet)
        url = reverse("signoffs:photo", args=[sheet.pk, photo.pk])
        assert url in ground.cast.client("ada").get(reverse("signoffs:filled", args=[sheet.pk])).content.decode()
        for who, status in {"ada": 200, "sol": 200, "olga": 200, "ben": 404, "quin": 404}.items():
            answer = ground.cast.client(who).get(url)
            assert answer.status_code == status, who
        assert ground.cast.client("olga").get(url)["Content-Type"] == "image/jpeg"

    def test_come_with_the_form_where_there_is_no_script(self, ground):
        made = BytesIO()
        Image.new("RGB", (40, 30), "red").save(made, "JPEG")
        files = [SimpleUploadedFile("a.jpg", made.getvalue()), SimpleUploadedFile("b.jpg", b"no photo")]
        facts = typed(ground.cast.ada) | {"photo": files}
        answer = ground.cast.client("olga").post(sheet_url(ground.cast.ada), facts, follow=True)
        assert Photo.objects.get().record == ReceivedSheet.objects.get().pk
        assert "b.jpg is not kept. This is not a photo that can be read" in page(answer)
        assert "Photo 1 of this practical" in answer.content.decode()

    def test_of_others_and_of_later_do_not_count(self, ground):
        """Anyone could name this sheet; and nothing is put beside a record that stands."""
        sheet = sent(ground)
        stranger = self.photo(ground, sheet, by=ground.cast.quin)
        first = self.photo(ground, sheet)
        sign(ground, sheet)
        later = self.photo(ground, sheet, at=AT + timedelta(minutes=5))
        shown = ground.cast.client("ada").get(reverse("signoffs:signoff", args=[sheet.pk])).content.decode()
        assert str(first.pk) in shown
        assert str(stranger.pk) not in shown
        assert str(later.pk) not in shown
