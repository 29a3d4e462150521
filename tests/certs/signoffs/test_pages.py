"""The pages of the room, through the client."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from certs.cards.models import Card
from certs.schemes.rules import Act
from certs.signoffs import operations
from certs.signoffs.models import AssessorException, Decision, Signoff
from tests.cast import ON
from tests.certs.signoffs.making import page, sheet_url
from training.people.models import Person

pytestmark = pytest.mark.usefixtures("today")


class TestWaiting:
    def test_lists_the_oldest_first_and_says_why_not(self, ground):
        ground.ready(ground.cast.ben, on=ON - timedelta(days=9))
        shown = page(ground.cast.client("tess").get(reverse("signoffs:waiting")))
        assert shown.index("Ben Crew") < shown.index("Ada Crew")
        assert "Open the sheet for Ben Crew" in shown
        assert "You trained Ada Crew up to 26 Oct 2026, so you may assess from 26 Oct 2028." in shown
        assert "Declare an exception for Ada Crew" in shown

    def test_leaves_out_who_is_signed_has_not_read_or_has_left(self, ground):
        ground.sign()
        assert "Open the sheet" in page(ground.cast.client("olga").get(reverse("signoffs:waiting")))
        ground.sign(scheme=ground.separate)
        assert "Nobody waits for a practical" in page(ground.cast.client("olga").get(reverse("signoffs:waiting")))
        ground.ready(ground.cast.ben)
        ground.cast.ben.readings.all().delete()
        ground.ready(ground.cast.quin)
        Person.objects.filter(pk=ground.cast.quin.pk).update(is_active=False)
        assert "Nobody waits for a practical" in page(ground.cast.client("olga").get(reverse("signoffs:waiting")))

    def test_lists_somebody_again_after_a_failed_practical_or_a_refusal(self, ground):
        ground.sign(seen=frozenset())
        signed = ground.sign(scheme=ground.separate)
        operations.decide(signoff=signed, by=ground.cast.dora, granted=False, reasons="No", at=signed.signed_at, on=ON)
        shown = page(ground.cast.client("olga").get(reverse("signoffs:waiting")))
        assert shown.count("Open the sheet for Ada Crew") == 2

    def test_asks_the_same_number_of_queries_however_many_wait(self, ground, django_assert_num_queries):
        client = ground.cast.client("olga")
        ground.sign(scheme=ground.separate)
        client.get(reverse("signoffs:waiting"))
        with CaptureQueriesContext(connection) as few:
            client.get(reverse("signoffs:waiting"))
        for n in range(6):
            new = Person.objects.create_user(f"new{n}", "x", name=f"New {n}", employer=ground.cast.northmoor)
            ground.ready(new)
        with django_assert_num_queries(len(few)):
            shown = page(client.get(reverse("signoffs:waiting")))
        assert shown.count("Open the sheet for New") == 12

    def test_lists_decisions_for_the_decision_maker(self, ground):
        ground.sign(scheme=ground.separate)
        assert "Decide about Ada Crew" in page(ground.cast.client("dora").get(reverse("signoffs:waiting")))
        assert "You assessed this candidate" in page(ground.cast.client("olga").get(reverse("signoffs:waiting")))

    @pytest.mark.parametrize(("who", "status"), [("ada", 403), ("sol", 403), ("olga", 200), ("dora", 200)])
    def test_opens_for_trainers_and_administrators(self, ground, who, status):
        assert ground.cast.client(who).get(reverse("signoffs:waiting")).status_code == status


class TestRecord:
    @pytest.mark.parametrize(
        ("who", "status"),
        [("ada", 200), ("sol", 200), ("olga", 200), ("max", 200), ("ben", 404), ("quin", 404), ("rex", 404)],
    )
    def test_opens_for_the_candidate_their_supervisor_and_the_body(self, ground, who, status):
        url = reverse("signoffs:signoff", args=[ground.sign().pk])
        assert ground.cast.client(who).get(url).status_code == status

    def test_shows_marks_to_the_candidate_but_not_to_the_supervisor(self, ground):
        url = reverse("signoffs:signoff", args=[ground.sign().pk])
        assert "9 of 10 marks" in page(ground.cast.client("ada").get(url))
        assert "marks" not in page(ground.cast.client("sol").get(url))

    def test_shows_the_exception(self, ground):
        client = ground.cast.client("tess")
        why = {"why": "Nobody else", "safeguard": "Filmed"}
        client.post(reverse("signoffs:exception", args=[ground.cast.ada.pk, "straight"]), why)
        asked = AssessorException.objects.get()
        ground.cast.client("max").post(reverse("signoffs:approve", args=[asked.pk]))
        ground.sign(by=ground.cast.tess)
        signed = Signoff.objects.get()
        shown = page(client.get(reverse("signoffs:signoff", args=[signed.pk])))
        assert "signed under a declared exception" in shown
        assert "Approved by Max Administrator on 25 Nov 2026" in shown


class TestException:
    def test_comes_back_with_sentences_when_half_filled(self, ground):
        url = reverse("signoffs:exception", args=[ground.cast.ada.pk, "straight"])
        answer = ground.cast.client("tess").post(url, {"why": "Nobody else within reach"})
        assert "Say what keeps the assessment fair" in page(answer)
        assert "Nobody else within reach" in page(answer)

    def test_is_refused_to_one_who_needs_none(self, ground):
        url = reverse("signoffs:exception", args=[ground.cast.ada.pk, "straight"])
        answer = ground.cast.client("olga").post(url, {"why": "a", "safeguard": "b"})
        assert "You need no exception" in page(answer)

    def test_waits_on_the_list_and_is_not_approved_by_who_asked(self, ground):
        client = ground.cast.client("tess")
        url = reverse("signoffs:exception", args=[ground.cast.ada.pk, "straight"])
        assert client.get(url).status_code == 200
        client.post(url, {"why": "Nobody else", "safeguard": "Filmed"})
        asked = AssessorException.objects.get()
        approve = reverse("signoffs:approve", args=[asked.pk])
        assert "not by the assessor who asks for it" in page(client.post(approve, follow=True))
        assert AssessorException.objects.get().approved_at is None
        shown = page(client.get(reverse("signoffs:waiting")))
        assert "Your exception waits for a third person" in shown
        assert "Approve the exception" not in shown
        assert "Approve the exception for Ada Crew" in page(ground.cast.client("olga").get(reverse("signoffs:waiting")))
        assert "waits for a third person" in page(client.get(sheet_url(ground.cast.ada)))

    def test_is_approved_by_post_only_and_by_staff_only(self, ground):
        assert ground.cast.client("max").get(reverse("signoffs:approve", args=[1])).status_code == 405
        assert ground.cast.client("max").post(reverse("signoffs:approve", args=[99])).status_code == 404
        assert ground.cast.client("ada").post(reverse("signoffs:approve", args=[1])).status_code == 403


class TestDecide:
    def test_grants(self, ground):
        signed = ground.sign(scheme=ground.separate)
        client, url = ground.cast.client("dora"), reverse("signoffs:decide", args=[signed.pk])
        assert "Put the decision on record" in page(client.get(url))
        answer = client.post(url, {"granted": "yes", "reasons": "Sound\nevidence"}, follow=True)
        assert "The card was granted." in page(answer)
        assert Card.objects.get().number in page(answer)

    def test_refuses_and_keeps_the_reasons(self, ground):
        signed = ground.sign(scheme=ground.separate)
        url = reverse("signoffs:decide", args=[signed.pk])
        answer = ground.cast.client("dora").post(url, {"granted": "no", "reasons": "Readings copied"}, follow=True)
        assert "The card was refused." in page(answer)
        assert "Readings copied" in page(ground.cast.client("ada").get(reverse("signoffs:signoff", args=[signed.pk])))

    @pytest.mark.parametrize("sent", [{}, {"granted": "perhaps", "reasons": "x"}, {"granted": "yes"}])
    def test_comes_back_with_a_sentence(self, ground, sent):
        url = reverse("signoffs:decide", args=[ground.sign(scheme=ground.separate).pk])
        answer = ground.cast.client("dora").post(url, sent)
        assert answer.status_code == 200
        assert not Decision.objects.exists()

    def test_is_refused_to_the_assessor_with_the_sentence(self, ground):
        ground.allow(ground.cast.olga, Act.DECIDES)
        url = reverse("signoffs:decide", args=[ground.sign(scheme=ground.separate).pk])
        client = ground.cast.client("olga")
        assert "You assessed this candidate" in page(client.get(url))
        answer = client.post(url, {"granted": "yes", "reasons": "Mine"})
        assert answer.status_code == 403
        assert "You assessed this candidate" in page(answer)

    def test_says_why_a_card_is_refused(self, ground):
        signed = ground.sign(scheme=ground.separate)
        Signoff.objects.filter(pk=signed.pk).update(assessed_on=ON - timedelta(days=400))
        url = reverse("signoffs:decide", args=[signed.pk])
        answer = ground.cast.client("dora").post(url, {"granted": "yes", "reasons": "Late"})
        assert "passed too long ago" in page(answer)
        assert not Decision.objects.exists()

    @pytest.mark.parametrize(("who", "status"), [("max", 403), ("sol", 403), ("ada", 403), ("rex", 404)])
    def test_opens_for_decision_makers(self, ground, who, status):
        url = reverse("signoffs:decide", args=[ground.sign(scheme=ground.separate).pk])
        assert ground.cast.client(who).get(url).status_code == status
