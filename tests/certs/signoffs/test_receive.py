"""Sheets that phones send: each answer of the sending rules, twelve at once, and bytes nobody would type."""

import json
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from uuid import UUID, uuid4

import pytest
from django.db import OperationalError, connection
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from certs.arrivals.rules import Conflict
from certs.cards.models import Card
from certs.signoffs import operations
from certs.signoffs.access import reader
from certs.signoffs.models import ReceivedSheet, Signoff
from certs.signoffs.rules import Confirmed
from tests.cast import AT, ON, assemble
from tests.certs.signoffs.making import CHECKS, Ground, lay, raw, typed
from training.ledger.models import Entry
from training.people.access import Viewer
from training.people.rules import Role


def post(ground: Ground, key: object, body: bytes, *, who: str = "olga"):
    url = reverse("signoffs:receive", args=[key])
    return ground.cast.client(who).post(url, body, content_type="application/json")


def says(answer) -> str:
    return " ".join(f"{one['field']}: {one['says']}" for one in answer.json()["problems"])


@pytest.mark.usefixtures("today")
class TestAnswers:
    def test_201_for_a_new_sheet_and_200_for_the_same_bytes(self, ground):
        facts = typed(ground.cast.ada)
        body = raw(ground.cast.olga, facts)
        first, again = (post(ground, facts["key"], body) for _ in range(2))
        assert (first.status_code, again.status_code) == (201, 200)
        assert first.json() == again.json() == {"kept": facts["key"]}
        kept = ReceivedSheet.objects.get()
        assert (kept.body, kept.received_at, kept.phone_time) == (facts, AT, AT)
        assert Entry.objects.get().about["bytes"] == kept.digest
        assert not Signoff.objects.exists()

    def test_409_for_other_bytes_under_the_key(self, ground):
        facts = typed(ground.cast.ada)
        post(ground, facts["key"], raw(ground.cast.olga, facts))
        other = post(ground, facts["key"], raw(ground.cast.olga, facts | {"remarks": "More"}))
        assert (other.status_code, other.json()) == (409, {})
        assert ReceivedSheet.objects.get().body["remarks"] == ""

    def test_409_for_somebody_elses_key_and_for_another_person_on_the_phone(self, ground):
        facts = typed(ground.cast.ada)
        assert post(ground, facts["key"], raw(ground.cast.olga, facts), who="tess").status_code == 409
        post(ground, facts["key"], raw(ground.cast.olga, facts))
        assert post(ground, facts["key"], raw(ground.cast.tess, facts), who="tess").status_code == 409
        assert ReceivedSheet.objects.get().made_by == ground.cast.olga

    def test_409_for_the_key_of_a_record_signed_without_a_sheet(self, ground):
        signed = ground.sign(scheme=ground.separate)
        facts = typed(ground.cast.ada, key=str(signed.pk))
        assert post(ground, signed.pk, raw(ground.cast.olga, facts)).status_code == 409

    def test_422_with_every_sentence(self, ground):
        facts = typed(
            ground.cast.ada, place="", set_until="2026-11-01", bond_2_pack_v="cold", bond_3_reversed_below=None
        )
        answer = post(ground, facts["key"], raw(ground.cast.olga, facts))
        assert answer.status_code == 422
        assert "place: Give the line and the distance" in says(answer)
        assert "bond_2_pack_v: Give a number in V" in says(answer)
        # Where it waits on the phone the form is not open: the name says which bond it is about.
        assert {one["name"] for one in answer.json()["problems"]} >= {"Place", "Bond 2: Pack at rest, V"}
        facts |= {"place": "Yard", "bond_2_pack_v": "39.6", "bond_3_forward_uv": "400"}
        told = says(post(ground, facts["key"], raw(ground.cast.olga, facts)))
        assert "set_until: The meter's calibration had run out" in told
        assert "bond_3_reversed_uv: Forward must read higher" in told
        assert not ReceivedSheet.objects.exists()

    @pytest.mark.parametrize(
        "change",
        [
            {"candidate": "999999"}, {"candidate": "9" * 30}, {"candidate": ""}, {"scheme": "none"}, {"scheme": "/"},
            {"replaces": str(uuid4())}, {"replaces": "x"},
        ],
    )  # fmt: skip
    def test_422_for_whom_or_what_is_not_known(self, ground, change):
        facts = typed(ground.cast.ada, **{name: value for name, value in change.items() if name != "candidate"})
        facts |= change
        answer = post(ground, facts["key"], raw(ground.cast.olga, facts))
        assert answer.status_code == 422
        assert "is not known here" in says(answer)

    def test_422_for_a_key_that_is_not_that_of_the_form(self, ground):
        facts = typed(ground.cast.ada)
        assert "key: This sheet was used" in says(post(ground, uuid4(), raw(ground.cast.olga, facts)))

    @pytest.mark.parametrize(
        "body",
        [
            b"", b"[1]", b"\xff\xfe", b'{"made_by": null}', b"[" * 100_000, b"x" * 300_000, b"y" * 3_000_000,
            b'{"made_by": true, "phone_time": "2026-11-25T09:00:00Z", "fields": {}}',
        ],
    )  # fmt: skip
    def test_422_for_what_is_no_sheet(self, ground, body):
        answer = post(ground, uuid4(), body)
        assert answer.status_code == 422
        assert "came damaged" in says(answer)

    def test_503_when_the_database_cannot(self, ground, monkeypatch):
        def locked(**facts: object) -> None:
            raise OperationalError("database is locked")

        monkeypatch.setattr(operations, "receive", locked)
        facts = typed(ground.cast.ada)
        answer = post(ground, facts["key"], raw(ground.cast.olga, facts))
        assert (answer.status_code, answer["Retry-After"]) == (503, "5")

    def test_keeps_what_may_not_be_signed_for_who_may_put_it_right(self, ground):
        """Nothing is lost on a phone for a rule that may be answered later, such as an exception."""
        facts = typed(ground.cast.ada)
        assert post(ground, facts["key"], raw(ground.cast.tess, facts), who="tess").status_code == 201

    @pytest.mark.parametrize(("who", "status"), [("ada", 403), ("sol", 403), ("max", 403), ("nobody", 302)])
    def test_opens_for_trainers_by_post(self, ground, who, status):
        assert post(ground, uuid4(), b"{}", who=who).status_code == status
        assert ground.cast.client("olga").get(reverse("signoffs:receive", args=[uuid4()])).status_code == 405

    def test_takes_values_in_lists_and_leaves_out_what_it_does_not_know(self, ground):
        facts = typed(ground.cast.ada)
        sent = {name: [value] for name, value in facts.items()} | {"made_by": "1", "passed": "yes", "signed_at": "x"}
        assert post(ground, facts["key"], raw(ground.cast.olga, sent)).status_code == 201
        assert ReceivedSheet.objects.get().made_by == ground.cast.olga


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwelveAtOnce:
    def run(self, bodies: list[bytes], key: str, ground: Ground) -> list[str]:
        barrier = Barrier(len(bodies))
        viewer = Viewer(ground.cast.olga, frozenset([Role.TRAINER]), AT, ON)

        def one(body: bytes) -> str:
            try:
                barrier.wait(20)
                facts = {"pk": UUID(key), "raw": body, "by": ground.cast.olga, "at": AT}
                _sheet, new = operations.receive(**facts, reader=reader(viewer, UUID(key)))
            except Conflict:
                return "409"
            finally:
                connection.close()
            return "201" if new else "200"

        with ThreadPoolExecutor(len(bodies)) as pool:
            return sorted(pool.map(one, bodies))

    def test_one_key_and_the_same_bytes_is_one_row(self):
        ground = lay(assemble())
        facts = typed(ground.cast.ada)
        found = self.run([raw(ground.cast.olga, facts)] * 12, facts["key"], ground)
        assert found == ["200"] * 11 + ["201"]
        assert ReceivedSheet.objects.count() == Entry.objects.filter(act="sheet received").count() == 1

    def test_one_key_and_other_bytes_keeps_the_first(self):
        ground = lay(assemble())
        facts = typed(ground.cast.ada)
        bodies = [raw(ground.cast.olga, facts | {"remarks": f"No. {n}"}) for n in range(12)]
        assert self.run(bodies, facts["key"], ground) == ["201"] + ["409"] * 11
        assert ReceivedSheet.objects.count() == 1


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestSignedAtOnce:
    def test_one_sheet_signed_six_times_is_one_record(self):
        """A double tap, a second window: one signature, one card, one entry in the ledger."""
        ground = lay(assemble())
        facts = typed(ground.cast.ada)
        viewer, key = Viewer(ground.cast.olga, frozenset([Role.TRAINER]), AT, ON), UUID(facts["key"])
        received, _new = operations.receive(
            pk=key, raw=raw(ground.cast.olga, facts), by=ground.cast.olga, at=AT, reader=reader(viewer, key)
        )
        barrier = Barrier(6)

        def one(_place: int) -> UUID:
            try:
                barrier.wait(20)
                signs = {"sheets": [(received, Confirmed.PASSWORD)], "assessor": ground.cast.olga, "at": AT, "on": ON}
                return operations.sign_sheets(**signs)[0].signoff.pk
            finally:
                connection.close()

        with ThreadPoolExecutor(6) as pool:
            assert set(pool.map(one, range(6))) == {received.pk}
        assert (Signoff.objects.count(), Card.objects.count()) == (1, 1)
        assert Entry.objects.filter(act="practical signed").count() == 1


HALF = st.sampled_from(["\ud800", "\udfff", "a\ud8ffb", "\x00", "\u202e", "٣", "1e400", "9" * 200, "−", "NaN", "<b>"])
TEXT = st.one_of(st.text(max_size=30), HALF)
ANY = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), TEXT), lambda inner: st.lists(inner, max_size=3)
)
NAMES = st.sampled_from([
    "key", "candidate", "scheme", "issue", "bonds", "pauses", "replaces", "on_paper", "phone_time", "assessed_on",
    "place", "started", "stopped", "assessor", "volt_meter", "volt_until", "spare_until", "remarks", "check_pack",
    "bond_1_pack_v", "bond_1_meter", "bond_1_air_c", "bond_1_leads", "bond_1_look_ring", "bond_1_forward_uv",
    "bond_2_again", "bond_3_why", "pause_1_begun", "pause_1_why", "x",
])  # fmt: skip
MADE_OTHERWISE = st.dictionaries(st.one_of(NAMES, TEXT), st.one_of(TEXT, ANY), max_size=6)


@pytest.mark.usefixtures("today")
class TestFuzz:
    @given(changes=MADE_OTHERWISE, head=st.one_of(st.none(), ANY))
    @settings(max_examples=500, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
    def test_no_sheet_breaks_it(self, ground, changes, head):
        """Wrong types, half characters, far numbers: always an answer the phone can act on."""
        facts = typed(ground.cast.ada)
        body = {"made_by": ground.cast.olga.pk, "phone_time": AT.isoformat(), "fields": facts | changes}
        if head is not None:
            body["phone_time"] = head
        answer = post(ground, facts["key"], json.dumps(body).encode())
        assert answer.status_code in (200, 201, 409, 422)

    @pytest.mark.parametrize(
        "fields",
        [{"x": False}, {"x": "\ud800"}, {"x\udfff": "1"}, {"place": "a\x00b"}, {"x": "\x00"}, {"x\x00": ""},
         {"check_pack": "\x00"}, {"check_pack": ["on", "\x00"]}, {"x": [[]]}, {"x": {}}, []],
    )  # fmt: skip
    def test_named_cases(self, ground, fields):
        sent = typed(ground.cast.ada) | fields if isinstance(fields, dict) else fields
        body = json.dumps({"made_by": ground.cast.olga.pk, "phone_time": AT.isoformat(), "fields": sent}).encode()
        assert post(ground, uuid4(), body).status_code == 422


@pytest.mark.usefixtures("today")
class TestWrittenOnTheSite:
    """The same junk through the form without a script."""

    @pytest.mark.parametrize(
        "junk",
        ["", "\ud800", "\x00", "٣", "1e400", "9" * 60, "<b>", "None", "[]", "2026-13-45", "0001-01-01", "ⅷ", "-" * 90],
    )
    def test_every_field_at_once(self, ground, junk):
        facts = typed(ground.cast.ada)
        names = set(facts) - {"act", *(f"check_{one.slug}" for one in CHECKS)}
        body = "&".join(f"{name}={_quoted(junk if name in names else value)}" for name, value in facts.items())
        url = reverse("signoffs:sheet", args=[ground.cast.ada.pk, "straight"])
        answer = ground.cast.client("olga").post(url, body, content_type="application/x-www-form-urlencoded")
        assert answer.status_code == 200
        for name in ("bonds", "replaces"):
            got = ground.cast.client("olga").get(f"{url}?{name}={_quoted(junk)}")
            assert got.status_code in (200, 404)

    @pytest.mark.parametrize("body", [b"", b"[1]", b'{"act": {}}', b"\xff\xfe"])
    def test_other_shapes(self, ground, body):
        url = reverse("signoffs:sheet", args=[ground.cast.ada.pk, "straight"])
        assert ground.cast.client("olga").post(url, body, content_type="application/json").status_code == 200


def _quoted(value: str) -> str:
    return "".join(f"%{byte:02X}" for byte in value.encode("utf-8", "surrogatepass"))
