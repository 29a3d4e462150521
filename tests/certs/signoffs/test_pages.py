"""The pages of the room, through the client."""

import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from certs.cards.models import Card
from certs.cards.operations import measure
from certs.cards.rules import Step
from certs.schemes.rules import Act
from certs.signoffs import operations
from certs.signoffs.models import AssessorException, Decision, Signoff
from tests.cast import ON
from tests.certs.signoffs.making import bond, typed
from training.people.models import Person

pytestmark = pytest.mark.usefixtures("today")


def page(response) -> str:
    """Return the words of a page, without its markup."""
    return " ".join(re.sub(r"<[^>]+>|&nbsp;", " ", response.content.decode()).split())


def sheet_url(person, scheme="straight", query=""):
    return reverse("signoffs:sheet", args=[person.pk, scheme]) + query


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


class TestSheet:
    def test_shows_the_limit_with_its_source_and_three_bonds(self, ground):
        shown = page(ground.cast.client("olga").get(sheet_url(ground.cast.ada)))
        for words in ("120 µΩ", "own figure", "38.25 V", "Test bond 3", "Meters the pack (must be right)"):
            assert words in shown
        assert "Test bond 4" not in shown

    @pytest.mark.parametrize(("query", "last"), [("?bonds=5", 5), ("?bonds=1", 3), ("?bonds=999", 20), ("?bonds=²", 3)])
    def test_lays_out_more_bonds(self, ground, query, last):
        shown = page(ground.cast.client("olga").get(sheet_url(ground.cast.ada, query=query)))
        assert f"Test bond {last}" in shown
        assert f"Test bond {last + 1}" not in shown

    def test_signs_and_leads_to_the_record_with_its_card(self, ground):
        answer = ground.cast.client("olga").post(sheet_url(ground.cast.ada), typed(), follow=True)
        signed = Signoff.objects.get()
        assert answer.redirect_chain == [(reverse("signoffs:signoff", args=[signed.pk]), 302)]
        assert (signed.air_c, signed.leads_in, signed.assessor) == (Decimal("-12.5"), True, ground.cast.olga)
        first = signed.bonds.get(position=1)
        assert (first.reversed_uv, first.pack_v, first.joint_uohm) == (-470, Decimal("39.60"), 60)
        shown = page(answer)
        for words in (Card.objects.get().number, "60.00 µΩ", "39.60 V, go", "3 of 3 good bonds shows at least 36.8 %",
                      "Setting up, revision 1", "9 of 10 marks", "-12.5 °C", "M-1"):  # fmt: skip
            assert words in shown, words

    def test_sent_twice_is_one_record(self, ground):
        sent = typed()
        client = ground.cast.client("olga")
        first, second = (client.post(sheet_url(ground.cast.ada), sent) for _ in range(2))
        assert first.url == second.url
        assert Signoff.objects.count() == 1

    @pytest.mark.parametrize(
        ("air", "below", "degrees"),
        [
            ("12,5", None, "12.5"),
            ("12.5", "on", "-12.5"),
            ("−12", None, "-12"),
            ("-12", "on", "-12"),
            ("5 °F", None, "-15"),
        ],
    )
    def test_reads_cold_as_people_type_it(self, ground, air, below, degrees):
        ground.cast.client("olga").post(sheet_url(ground.cast.ada), typed(air_c=air, air_below=below))
        assert Signoff.objects.get().air_c == Decimal(degrees)

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({"password": "wrong"}, "This is not your password"),
            ({"password": ""}, "Type your password"),
            ({"confirmed": None}, "The candidate ticks this box"),
            ({"calibrated_until": "2026-11-24"}, "calibration had run out on that day"),
            ({"calibrated_until": "24/11/26"}, "Give a day, such as 2026-11-30"),
            ({"assessed_on": "2026-11-26", "calibrated_until": "2027-01-01"}, "Give today or an earlier day"),
            ({"assessed_on": "2025-11-25"}, "more than 31 days ago"),
            ({"air_c": "cold"}, "Give a number in °C from −60 to 60, no finer than 0.1."),
            ({"air_c": "99"}, "from −60 to 60"),
            ({"bond_2_forward_uv": "1,250"}, "1,250 can mean 1250 or 1.250"),
            ({"bond_2_pack_v": "39,6 A"}, "Give a number in V from 24 to 45"),
            ({"bond_2_pack_v": "39.605"}, "no finer than 0.01"),
            ({"bond_2_current_a": "0"}, "Give a number in A from 0.1 to 200"),
            ({"bond_2_forward_uv": "-470"}, "Forward must read higher than reversed"),
            ({"bond_2_pin_lot": ""}, "Give the lot number"),
            ({"place": ""}, "Give the line and the distance"),
            ({"leads": None}, "Say whether the leads were in the circuit"),
            ({"issue": "2"}, "A new issue of the scheme came into force"),
        ],
    )
    def test_comes_back_with_a_sentence_and_loses_nothing(self, ground, change, sentence):
        sent = typed(remarks="Windy, two gusts", **change)
        answer = ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent)
        assert answer.status_code == 200
        assert sentence in page(answer)
        assert not Signoff.objects.exists()
        html = answer.content.decode()
        assert "Windy, two gusts" in html
        assert 'value="L-7"' in html
        assert sent["key"] in html
        assert re.search(r'name="check_pack"[^>]*checked', html)
        assert not re.search(r'type="password"[^>]*value=', html)

    def test_adds_a_bond_and_keeps_what_was_typed(self, ground):
        sent = typed(act="add", air_c="cold", bond_3_pin_lot="L-9", password="secret words", bond_2_visual_good=None)
        answer = ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent)
        html = answer.content.decode()
        assert "Test bond 4" in html
        assert 'value="cold"' in html
        assert 'value="L-9"' in html
        assert "secret words" not in html
        assert "Put this right" not in html
        assert not re.search(r'name="bond_2_visual_good"[^>]*checked', html)
        assert re.search(r'name="bond_1_visual_good"[^>]*checked', html)
        assert re.search(r'name="bonds" value="4"', html)

    def test_leaves_out_an_added_bond_that_stayed_empty(self, ground):
        sent = typed(bonds=3) | {"bonds": "4"}
        ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent)
        assert Signoff.objects.get().bonds.count() == 3

    def test_asks_for_the_rest_of_an_added_bond(self, ground):
        sent = typed(bonds=3) | {"bonds": "4", "bond_4_pack_v": "39.6"}
        assert "Bond 4: Pin lot" in page(ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent))

    def test_works_the_sheet_out_without_signing(self, ground):
        sent = typed(act="work-out", password="", confirmed=None, bond_2_hammer_good=None)
        shown = page(ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent))
        assert "Not passed." in shown
        assert "did not hold in the hammer test" in shown
        assert "Sign as not passed" in shown
        assert not Signoff.objects.exists()

    def test_asks_once_more_before_a_practical_is_signed_as_not_passed(self, ground):
        client, sent = ground.cast.client("olga"), typed(check_pack=None)
        answer = client.post(sheet_url(ground.cast.ada), sent)
        assert "As written, this practical is not passed" in page(answer)
        assert 'name="agreed" value="not passed"' in answer.content.decode()
        answer = client.post(sheet_url(ground.cast.ada), sent | {"agreed": "not passed"}, follow=True)
        assert "Not passed." in page(answer)
        assert not Signoff.objects.get().passed
        assert not Card.objects.exists()

    def test_refuses_the_trainer_with_the_sentence(self, ground):
        client = ground.cast.client("tess")
        shown = page(client.get(sheet_url(ground.cast.ada)))
        assert "You may not sign this practical" in shown
        answer = client.post(sheet_url(ground.cast.ada), typed())
        assert answer.status_code == 403
        assert "You trained Ada Crew up to 26 Oct 2026" in page(answer)
        assert not Signoff.objects.exists()

    def test_refuses_when_the_day_of_the_practical_lies_before_the_permission(self, ground):
        ground.cast.olga.authorities.update(from_on=ON)
        sent = typed(assessed_on=(ON - timedelta(days=1)).isoformat())
        answer = ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent)
        assert answer.status_code == 403
        assert "may assess" in page(answer)

    def test_says_why_a_card_is_refused(self, ground):
        ground.sign()
        card = Card.objects.get()
        measure(card=card, step=Step.SUSPENDED, by=ground.cast.max, reason="Doubt", on=ON, at=card.issued_at)
        ground.ready(ground.cast.ada, on=ON)
        answer = ground.cast.client("olga").post(sheet_url(ground.cast.ada), typed())
        assert "is suspended: reinstate or withdraw it first" in page(answer)
        assert Signoff.objects.count() == 1

    def test_refuses_a_key_that_belongs_to_another_record(self, ground):
        signed = ground.sign(scheme=ground.separate)
        ground.ready(ground.cast.ben)
        answer = ground.cast.client("olga").post(sheet_url(ground.cast.ben), typed(key=str(signed.pk)))
        assert "used for another record" in page(answer)

    @pytest.mark.parametrize(("who", "status"), [("ada", 403), ("sol", 403), ("rex", 403), ("max", 403), ("olga", 200)])
    def test_opens_for_trainers(self, ground, who, status):
        client = ground.cast.client(who)
        assert client.get(sheet_url(ground.cast.ada)).status_code == status
        assert client.post(sheet_url(ground.cast.ada), {"act": "add"}).status_code == status

    def test_is_not_there_for_unknown_people_and_schemes(self, ground):
        client = ground.cast.client("olga")
        ground.separate.scheme.retired_at = ground.separate.loaded_at
        ground.separate.scheme.save()
        for person, scheme in [(10**30, "straight"), (ground.cast.ada.pk, "none"), (ground.cast.ada.pk, "separate")]:
            assert client.get(reverse("signoffs:sheet", args=[person, scheme])).status_code == 404
        assert client.get(sheet_url(ground.cast.ada, query=f"?replaces={uuid4()}")).status_code == 404

    def test_stops_counting_passwords_after_ten(self, ground):
        client = ground.cast.client("olga")
        answers = [client.post(sheet_url(ground.cast.ada), typed(password="wrong")) for _ in range(11)]
        assert "Too many passwords in a short time" in page(answers[-1])


class TestCorrection:
    def test_starts_from_the_old_record(self, ground):
        old = ground.sign(place="Yard 7", bonds=(bond(pin_lot="L-1"), bond(), bond(), bond(pin_lot="L-4")))
        client = ground.cast.client("olga")
        assert "Correct this record" in page(client.get(reverse("signoffs:signoff", args=[old.pk])))
        url = sheet_url(ground.cast.ada, query=f"?replaces={old.pk}&bonds=4")
        html = client.get(url).content.decode()
        for value in ('value="Yard 7"', 'value="L-1"', 'value="L-4"', 'value="-470.0"', 'value="-12.0"'):
            assert value in html
        answer = client.post(url, typed(place="Yard 8"), follow=True)
        assert "This record corrects an earlier one" in page(answer)
        assert "Open the record that replaces it" in page(client.get(reverse("signoffs:signoff", args=[old.pk])))

    def test_needs_a_record_nothing_replaced(self, ground):
        old = ground.sign()
        ground.sign(replaces=old.pk)
        url = sheet_url(ground.cast.ada, query=f"?replaces={old.pk}")
        answer = ground.cast.client("olga").post(url, typed())
        assert answer.status_code == 403
        assert "A later record replaces this one already" in page(answer)


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
        answer = client.post(sheet_url(ground.cast.ada), typed(), follow=True)
        shown = page(answer)
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


class TestHostile:
    """Nothing sent to a door of this room breaks it."""

    JUNK = (
        "",
        "\ud800",
        "\x00",
        "٣",
        "1e400",
        "9" * 60,
        "<b>",
        "None",
        "[]",
        "2026-13-45",
        "0001-01-01",
        "ⅷ",
        "-" * 90,
    )

    FIELDS = (
        "key", "issue", "bonds", "assessed_on", "air_c", "leads", "calibrated_until", "act", "place", "check_pack",
        "bond_1_pack_v", "bond_1_forward_uv", "bond_1_pin_lot", "agreed",
    )  # fmt: skip

    def send(self, ground, change) -> int:
        body = "&".join(f"{key}={_quoted(value)}" for key, value in (typed() | change).items())
        kind = "application/x-www-form-urlencoded"
        return ground.cast.client("olga").post(sheet_url(ground.cast.ada), body, content_type=kind).status_code

    @pytest.mark.parametrize("junk", JUNK)
    def test_every_field_at_once(self, ground, junk):
        assert self.send(ground, dict.fromkeys(set(self.FIELDS) - {"act"}, junk)) == 200

    @pytest.mark.parametrize("at", range(len(FIELDS)))
    def test_one_field(self, ground, at):
        assert self.send(ground, {self.FIELDS[at]: self.JUNK[1 + at % 5]}) in (200, 302)

    @pytest.mark.parametrize("junk", JUNK)
    def test_addresses(self, ground, junk):
        client = ground.cast.client("olga")
        for name in ("bonds", "replaces"):
            assert client.get(sheet_url(ground.cast.ada, query=f"?{name}={_quoted(junk)}")).status_code in (200, 404)

    @pytest.mark.parametrize("body", [b"", b"[1]", b'{"act": {}}', b"\xff\xfe"])
    def test_other_shapes(self, ground, body):
        url = sheet_url(ground.cast.ada)
        assert ground.cast.client("olga").post(url, body, content_type="application/json").status_code == 200


def _quoted(value: str) -> str:
    return "".join(f"%{byte:02X}" for byte in value.encode("utf-8", "surrogatepass"))
