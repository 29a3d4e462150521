"""Filling in a sheet on the site, without a script, through the client."""

import re
from datetime import timedelta
from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from certs.schemes.rules import Act
from certs.signoffs import operations
from certs.signoffs.models import ReceivedSheet, Signoff
from certs.signoffs.rules import Confirmed, Look
from tests.cast import AT, ON, PASSWORD
from tests.certs.signoffs.making import bond, page, sheet_url, typed
from training.ledger.models import Entry

pytestmark = pytest.mark.usefixtures("today")


def send(ground, *, who="olga", scheme="straight", **changes):
    return ground.cast.client(who).post(sheet_url(ground.cast.ada, scheme), typed(ground.cast.ada, **changes))


class TestSheet:
    def test_shows_the_limit_with_its_source_and_three_bonds(self, ground):
        shown = page(ground.cast.client("olga").get(sheet_url(ground.cast.ada)))
        for words in ("120 µΩ", "own figure", "38.25 V", "Test bond 3", "Meters the pack (must be right)"):
            assert words in shown
        # The one with N for its number is there for the script to copy.
        assert "Test bond 4" not in shown

    def test_presets_no_check(self, ground):
        html = ground.cast.client("olga").get(sheet_url(ground.cast.ada)).content.decode()
        assert 'name="check_pack"' in html
        assert not re.search(r'name="(check_|bond_._look|bond_._hammer)[^>]*checked', html)

    @pytest.mark.parametrize(("query", "last"), [("?bonds=5", 5), ("?bonds=1", 3), ("?bonds=999", 20), ("?bonds=²", 3)])
    def test_lays_out_more_bonds(self, ground, query, last):
        shown = page(ground.cast.client("olga").get(sheet_url(ground.cast.ada, query=query)))
        assert f"Test bond {last}" in shown
        assert f"Test bond {last + 1}" not in shown

    def test_is_kept_and_leads_on_to_its_signing(self, ground):
        sent = typed(ground.cast.ada)
        answer = ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent)
        kept = ReceivedSheet.objects.get()
        assert answer.url == reverse("signoffs:filled", args=[kept.pk])
        assert (str(kept.pk), kept.candidate, kept.made_by, kept.assessor) == (
            sent["key"], ground.cast.ada, ground.cast.olga, ground.cast.olga
        )  # fmt: skip
        assert kept.body["bond_1_air_c"] == "−12,5"
        assert not Signoff.objects.exists()
        assert Entry.objects.get().act == "sheet received"

    def test_takes_from_the_bond_before_what_was_left_empty(self, ground):
        send(ground, bond_2_cell_c="3", bond_2_cell_below="on", bond_3_leads="out", bond_3_burn="proud")
        bonds = ReceivedSheet.objects.get().reading["bonds"]
        assert [one["cell_c"] for one in bonds] == ["4.0", "-3.0", "-3.0"]
        assert [one["leads_in"] for one in bonds] == [True, True, False]
        assert [one["burn"] for one in bonds] == ["flush", "flush", "proud"]
        assert {one["air_c"] for one in bonds} == {"-12.5"}
        assert {one["current_a"] for one in bonds} == {"10.00"}

    def test_sent_twice_is_one_sheet(self, ground):
        sent = typed(ground.cast.ada)
        client = ground.cast.client("olga")
        first, second = (client.post(sheet_url(ground.cast.ada), sent) for _ in range(2))
        assert first.url == second.url
        assert ReceivedSheet.objects.count() == 1

    @pytest.mark.parametrize(
        ("air", "below", "degrees"),
        [
            ("12,5", None, "12.5"),
            ("12.5", "on", "-12.5"),
            ("−12", None, "-12.0"),
            ("-12", "on", "-12.0"),
            ("5 °F", None, "-15.0"),
        ],
    )
    def test_reads_cold_as_people_type_it(self, ground, air, below, degrees):
        send(ground, bond_1_air_c=air, bond_1_air_below=below)
        assert ReceivedSheet.objects.get().reading["air_c"] == degrees

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({"volt_until": "2026-11-24"}, "calibration had run out on that day"),
            ({"set_until": "2026-11-24"}, "Four-wire set: calibration good to – The meter"),
            ({"spare_meter": "M-9", "spare_until": "2026-11-24"}, "Second voltmeter: calibration good to – The meter"),
            ({"spare_meter": "M-9"}, "Give the last day its calibration is good"),
            ({"bond_2_meter": "spare"}, "Give the serial number of the second voltmeter"),
            ({"volt_until": "24/11/26"}, "Give a day, such as 2026-11-30"),
            ({"set_meter": ""}, "Give the serial number of the instrument that was read"),
            ({"assessed_on": "2026-11-26", "volt_until": "2027-01-01", "set_until": "2027-01-01"}, "Give today or an"),
            ({"assessed_on": "2025-11-25"}, "more than 31 days ago"),
            ({"started": "8"}, "Give a time of day, such as 14:05"),
            ({"stopped": ""}, "Give a time of day, such as 14:05"),
            ({"pause_1_why": "Train"}, "Interruption 1: from – Give a time"),
            ({"bond_1_air_c": "cold"}, "Give a number in °C from −60 to 60, no finer than 0.1."),
            ({"bond_1_air_c": "99"}, "from −60 to 60"),
            ({"bond_2_forward_uv": "1,250"}, "1,250 can mean 1250 or 1.250"),
            ({"bond_2_pack_v": "39,6 A"}, "Give a number in V from 24 to 45"),
            ({"bond_2_pack_v": "39.605"}, "no finer than 0.01"),
            ({"bond_1_current_a": "0"}, "Give a number in A from 0.1 to 200"),
            ({"bond_2_forward_uv": "-470"}, "Forward must read higher than reversed"),
            ({"bond_1_pin_lot": ""}, "Give the lot number"),
            ({"bond_2_spot": ""}, "Bond 2: Position – Say where on the steel"),
            ({"bond_2_again": "repeated"}, "Say why the bond was made again"),
            ({"place": ""}, "Give the line and the distance"),
            ({"bond_1_leads": None}, "Say whether the leads were in the circuit"),
            ({"issue": "2"}, "A new issue of the scheme came into force"),
            ({"candidate": "999999"}, "This sheet was laid out for somebody else"),
        ],
    )
    def test_comes_back_with_a_sentence_and_loses_nothing(self, ground, change, sentence):
        sent = typed(ground.cast.ada, **{"remarks": "Windy, two gusts"} | change)
        answer = ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent)
        assert answer.status_code == 200
        assert sentence in page(answer)
        assert not ReceivedSheet.objects.exists()
        html = answer.content.decode()
        assert "Windy, two gusts" in html
        assert 'value="flush"' in html
        assert sent["key"] in html
        assert re.search(r'name="check_pack"[^>]*checked', html)

    def test_adds_a_bond_and_keeps_what_was_typed(self, ground):
        answer = send(ground, act="add", bond_1_air_c="cold", bond_3_pin_lot="L-9", bond_2_look_ring=None)
        html = answer.content.decode()
        assert "Test bond 4" in html
        assert 'value="cold"' in html
        assert 'value="L-9"' in html
        assert "error-summary" not in html
        assert not re.search(r'name="bond_2_look_ring"[^>]*checked', html)
        assert re.search(r'name="bond_1_look_ring"[^>]*checked', html)
        assert re.search(r'name="bonds" value="4"', html)
        assert re.search(r'name="bond_4_spot" value="4"', html)

    def test_adds_an_interruption(self, ground):
        html = send(ground, act="add-pause", pauses="3", pause_1_why="Train").content.decode()
        assert "Interruption 4" in html
        assert 'value="Train"' in html

    def test_ticks_at_one_go_all_but_what_must_be_right(self, ground):
        html = send(
            ground, act="good-checks-setup", **dict.fromkeys(["check_pack", "check_earth", "check_kit"])
        ).content
        ticked = set(re.findall(r'name="check_(\w+)"[^>]*checked', html.decode()))
        assert ticked == {"kit", "stance"}

    def test_ticks_at_one_go_what_the_eye_sees_of_one_bond(self, ground):
        none = dict.fromkeys([f"bond_{n}_look_{look.value}" for n in (1, 2) for look in Look])
        html = send(ground, act="good-bond-2", **none).content.decode()
        assert set(re.findall(r'name="(bond_\d_look)_\w+"[^>]*checked', html)) == {"bond_2_look", "bond_3_look"}

    def test_leaves_out_an_added_bond_that_stayed_empty(self, ground):
        send(ground, bonds=3, bond_4_spot="4")
        sent = typed(ground.cast.ada) | {"bonds": "4", "bond_4_spot": "4", "bond_4_pin_lot": "L-7"}
        ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent)
        assert {len(one.reading["bonds"]) for one in ReceivedSheet.objects.all()} == {3}

    def test_asks_for_the_rest_of_an_added_bond(self, ground):
        sent = typed(ground.cast.ada) | {"bonds": "4", "bond_4_pack_v": "39.6"}
        shown = page(ground.cast.client("olga").post(sheet_url(ground.cast.ada), sent))
        assert "Bond 4: Forward reading" in shown

    def test_works_the_sheet_out_without_sending(self, ground):
        shown = page(send(ground, act="work-out", bond_2_hammer_good=None, bond_3_look_sound=None))
        for words in ("Not passed.", "did not hold in the hammer test", "not seen: No gap, hole or crack",
                      "Bond 2", "Good bonds: 1 of 3, which shows that at least 1.6 %"):  # fmt: skip
            assert words in shown
        assert not ReceivedSheet.objects.exists()

    def test_begins_with_what_was_last_used(self, ground):
        send(ground)
        html = ground.cast.client("olga").get(sheet_url(ground.cast.ada, "separate")).content.decode()
        for name, value in {"volt_meter": "M-1", "set_until": ON.isoformat(), "bond_1_pin_lot": "L-7",
                            "bond_1_current_a": "10 A", "place": "Yard 3"}.items():  # fmt: skip
            assert re.search(rf'name="{name}" value="{value}"', html), name
        assert 'name="bond_1_air_c" value' not in html
        other = ground.cast.client("tess").get(sheet_url(ground.cast.ben)).content.decode()
        assert "M-1" not in other

    def test_refuses_the_trainer_with_the_sentence(self, ground):
        shown = page(ground.cast.client("tess").get(sheet_url(ground.cast.ada)))
        assert "You may not sign this practical" in shown
        answer = send(ground, who="tess")
        assert answer.status_code == 403
        assert "You trained Ada Crew up to 26 Oct 2026" in page(answer)
        assert not ReceivedSheet.objects.exists()

    def test_refuses_a_key_that_belongs_to_another_record(self, ground):
        signed = ground.sign(scheme=ground.separate)
        answer = send(ground, key=str(signed.pk))
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


class TestOnPaper:
    def test_is_entered_by_one_and_signed_by_the_other(self, ground):
        html = ground.cast.client("max")  # an administrator does not enter sheets
        assert html.get(sheet_url(ground.cast.ada, query="?paper")).status_code == 403
        ground.allow(ground.cast.max, Act.ASSESSES)
        shown = page(ground.cast.client("olga").get(sheet_url(ground.cast.ada, query="?paper")))
        assert "Entered by" in shown
        assert "Photo or scan of the paper" in shown
        send(ground, on_paper="yes", assessor=str(ground.cast.tess.pk))
        kept = ReceivedSheet.objects.get()
        assert (kept.on_paper, kept.made_by, kept.assessor) == (True, ground.cast.olga, ground.cast.tess)

    def test_is_not_signed_without_the_scan(self, ground):
        send(ground, on_paper="yes", assessor=str(ground.cast.olga.pk))
        kept = ReceivedSheet.objects.get()
        facts = {f"confirm_{kept.pk}": PASSWORD, "password": PASSWORD}
        client, url = ground.cast.client("olga"), reverse("signoffs:filled", args=[kept.pk])
        assert "Add a photo or scan of the paper first" in page(client.post(url, facts))
        with pytest.raises(operations.MayNotSign, match="scan of the paper first"):
            operations.sign_sheet(sheet=kept, how=Confirmed.BOX, assessor=ground.cast.olga, at=AT, on=ON)
        add = reverse("signoffs:add_photo", args=[kept.pk])
        assert "Choose a photo first" in page(client.post(add, follow=True))
        assert ground.cast.client("tess").post(add).status_code == 404
        scan = BytesIO()
        Image.new("RGB", (40, 60), "white").save(scan, "JPEG")
        client.post(add, {"photo": SimpleUploadedFile("scan.jpg", scan.getvalue())})
        client.post(url, facts)
        assert Signoff.objects.get().sheet == kept
        shown = page(client.get(reverse("signoffs:signoff", args=[kept.pk])))
        assert "entered afterwards by Olga Assessor, 25 Nov 2026, 09:00 UTC" in shown
        assert "Entered by" not in shown

    def test_asks_whose_it_is(self, ground):
        assert "Say whose sheet on paper this is" in page(send(ground, on_paper="yes"))
        assert "Say whose sheet on paper this is" in page(
            send(ground, on_paper="yes", assessor=str(ground.cast.ada.pk))
        )

    def test_keeps_what_another_named_only_where_it_was_on_paper(self, ground):
        send(ground, assessor=str(ground.cast.tess.pk))
        assert ReceivedSheet.objects.get().assessor == ground.cast.olga


class TestPaper:
    @pytest.mark.parametrize("scheme", ["straight", "separate"])
    def test_a_blank_sheet_is_a_tagged_pdf(self, ground, scheme):
        answer = ground.cast.client("olga").get(reverse("signoffs:blank", args=[ground.cast.ada.pk, scheme]))
        assert answer["Content-Type"] == "application/pdf"
        catalog = pypdf.PdfReader(BytesIO(answer.content)).trailer["/Root"]
        assert catalog["/MarkInfo"]["/Marked"]
        assert "/StructTreeRoot" in catalog

    def test_a_filled_sheet_is_the_same_bytes_twice(self, ground):
        send(ground)
        url = reverse("signoffs:paper", args=[ReceivedSheet.objects.get().pk])
        first, second = (ground.cast.client(who).get(url) for who in ("olga", "ada"))
        assert first.content[:5] == b"%PDF-"
        assert ground.cast.client("quin").get(url).status_code == 404
        assert first.content == ground.cast.client("olga").get(url).content
        assert second.status_code == 200


class TestCorrection:
    def test_starts_from_the_old_record(self, ground):
        old = ground.sign(place="Yard 7", bonds=(bond(pin_lot="L-1"), bond(), bond(), bond(pin_lot="L-4")))
        client = ground.cast.client("olga")
        assert "Correct this record" in page(client.get(reverse("signoffs:signoff", args=[old.pk])))
        url = sheet_url(ground.cast.ada, query=f"?replaces={old.pk}&bonds=4")
        html = client.get(url).content.decode()
        for value in ('value="Yard 7"', 'value="L-1"', 'value="L-4"', 'value="-470.0"', 'value="-12.0"', str(old.pk)):
            assert value in html
        assert re.search(r'name="check_kit"[^>]*checked', html)
        assert not re.search(r'name="check_pack"[^>]*checked', html)
        client.post(url, typed(ground.cast.ada, place="Yard 8", replaces=str(old.pk)))
        assert ReceivedSheet.objects.get().reading["replaces"] == str(old.pk)


class TestOlderIssue:
    def test_a_sheet_of_the_issue_of_its_day_is_taken(self, ground):
        """A phone without a signal cannot know that a new issue came in since."""
        newer = ground.straight
        newer.pk, newer.number, newer.loaded_at = None, 2, AT
        newer.save()
        assert "A new issue of the scheme came into force" in page(send(ground, issue="1"))
        day = (ON - timedelta(days=1)).isoformat()
        send(ground, issue="1", assessed_on=day)
        assert ReceivedSheet.objects.get().scheme_issue.number == 1
        assert Decimal(ReceivedSheet.objects.get().reading["bonds"][0]["pack_v"]) == Decimal("39.60")
