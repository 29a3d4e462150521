"""What a phone kept is recorded once, by its maker only, or told what is wrong."""

import threading
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
import time_machine
from django.db import OperationalError, connection, connections
from django.test import Client

from certs.worklog import operations
from certs.worklog.forms import EntryForm
from certs.worklog.models import WorkEntry
from tests.cast import AT, ON, Cast, assemble
from tests.certs import factory
from tests.certs.worklog.making import TYPED, body, send
from training.ledger.models import Entry
from training.ledger.queries import fault


@pytest.fixture(autouse=True)
def clock() -> object:
    with time_machine.travel(AT, tick=False) as travel:
        yield travel


@pytest.fixture
def cast(cast: Cast) -> Cast:
    factory.scheme_issue()
    return cast


class TestReceive:
    def test_records_what_was_typed(self, cast: Cast) -> None:
        """201 with the key; comma, minus box and phone's time as they were meant."""
        key = uuid4()
        answer = send(cast.client("ada"), key, body(cast.ada.pk))
        assert (answer.status_code, answer.json()) == (201, {"kept": str(key)})
        made = WorkEntry.objects.get()
        assert (made.pk, made.person, made.scheme.slug) == (key, cast.ada, "bonds")
        assert (made.done_on, made.place, made.bonds, made.job) == (date(2026, 11, 24), "Down line, 12.4 km", 6, "J 77")
        assert (made.air_c, made.pack_c, made.pack_v) == (Decimal("-4.5"), None, Decimal("39.60"))
        assert made.phone_time == datetime(2026, 11, 24, 15, 30, tzinfo=UTC)
        assert made.under_way == timedelta(hours=17, minutes=30)
        assert Entry.objects.get().about == {
            "entry": str(key),
            "scheme": made.scheme_id,
            "bonds": 6,
            "bytes": made.digest,
        }
        assert fault() == ""

    def test_of_the_same_bytes_again_is_the_same_entry(self, cast: Cast) -> None:
        """200, the same answer, one row, and one entry of the ledger."""
        key, raw = uuid4(), body(cast.ada.pk)
        assert [send(cast.client("ada"), key, raw).status_code for _n in range(3)] == [201, 200, 200]
        assert WorkEntry.objects.count() == Entry.objects.count() == 1

    def test_of_other_bytes_under_that_key_is_a_conflict(self, cast: Cast) -> None:
        """409, and the first stays as it was."""
        key = uuid4()
        send(cast.client("ada"), key, body(cast.ada.pk))
        assert send(cast.client("ada"), key, body(cast.ada.pk, bonds="7")).status_code == 409
        assert send(cast.client("ben"), key, body(cast.ben.pk)).status_code == 409
        assert WorkEntry.objects.get().bonds == 6

    def test_of_somebody_elses_record_is_a_conflict(self, cast: Cast) -> None:
        """Whoever is signed in sends their own only."""
        assert send(cast.client("ben"), uuid4(), body(cast.ada.pk)).status_code == 409
        assert not WorkEntry.objects.exists()

    @pytest.mark.parametrize(
        ("changes", "field", "name"),
        [
            ({"bonds": "many"}, "bonds", "How many bonds you made"),
            ({"bonds": "0"}, "bonds", "How many bonds you made"),
            ({"bonds": "501"}, "bonds", "How many bonds you made"),
            ({"place": None}, "place", "Place"),
            ({"place": "x\0y"}, "place", "Place"),
            ({"scheme": "another"}, "scheme", "What was fixed"),
            ({"scheme": ["bonds", "leads"]}, "scheme", "What was fixed"),
            ({"done_on": "24.11.2026"}, "done_on", "Day"),
            ({"done_on": "2026-11-26"}, "done_on", "Day"),
            ({"done_on": "2025-11-20"}, "done_on", "Day"),
            ({"pack_v": "390"}, "pack_v", "Pack at rest before the first bond, V (optional)"),
            ({"joint_uohm": "62 V"}, "joint_uohm", "Highest joint of the job, µΩ (optional)"),
        ],
    )
    def test_says_what_to_put_right(self, cast: Cast, changes: dict[str, object], field: str, name: str) -> None:
        """422 with the field, its name as the form says it, and a sentence; nothing is recorded."""
        answer = send(cast.client("ada"), uuid4(), body(cast.ada.pk, **changes))
        assert answer.status_code == 422
        assert [(one["field"], one["name"]) for one in answer.json()["problems"]] == [(field, name)]
        assert answer.json()["problems"][0]["says"]
        assert not WorkEntry.objects.exists()

    def test_may_be_put_right_under_the_same_key(self, cast: Cast) -> None:
        """What was refused took no key."""
        key = uuid4()
        assert send(cast.client("ada"), key, body(cast.ada.pk, bonds="0")).status_code == 422
        assert send(cast.client("ada"), key, body(cast.ada.pk)).status_code == 201

    @pytest.mark.parametrize("raw", [b"", b"{}", b"[]", b'{"made_by": 1, "fields": {"place": "\\ud800"}}'])
    def test_of_what_is_no_record_says_so(self, cast: Cast, raw: bytes) -> None:
        """422, so that a damaged record shows up on the phone instead of waiting for ever."""
        assert send(cast.client("ada"), uuid4(), raw).status_code == 422

    def test_takes_the_named_fields_only(self, cast: Cast) -> None:
        """What else is in the bytes changes nothing."""
        send(cast.client("ada"), uuid4(), body(cast.ada.pk, person=str(cast.ben.pk), received_at="2020-01-01", key="7"))
        made = WorkEntry.objects.get()
        assert (made.person, made.received_at) == (cast.ada, AT)

    def test_needs_the_role(self, cast: Cast) -> None:
        """A supervisor is told, rather than left waiting."""
        answer = send(cast.client("sol"), uuid4(), body(cast.sol.pk))
        assert answer.status_code == 422
        assert "crew member" in answer.json()["problems"][0]["says"]

    def test_asks_the_signed_out_to_sign_in(self, cast: Cast) -> None:
        """A redirect, which leaves the record on the phone."""
        assert send(Client(), uuid4(), body(cast.ada.pk)).status_code == 302

    def test_says_busy_when_the_database_is(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        """503 with a time to come again; the same key later is taken."""

        def locked(**facts: object) -> None:
            raise OperationalError("database is locked")

        key, client = uuid4(), Client(raise_request_exception=False)
        client.force_login(cast.ada)
        with monkeypatch.context() as patch:
            patch.setattr(operations, "record", locked)
            assert send(client, key, body(cast.ada.pk)).status_code == 503
        assert send(client, key, body(cast.ada.pk)).status_code == 201


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestAtOnce:
    def test_one_key_sent_by_many_is_one_entry(self) -> None:
        """One is told new, the others the same; nobody gets an error."""
        cast, key = assemble(), uuid4()
        scheme = factory.scheme_issue().scheme
        told: list[bool] = []
        barrier = threading.Barrier(6)
        entry = {"done_on": ON, "place": "Yard", "bonds": 6}

        def send_it() -> None:
            barrier.wait()
            _entry, new = operations.record(
                key=key, person=cast.ada, scheme=scheme, entry=entry, digest="0", phone_time=None, on=ON, at=AT
            )
            told.append(new)
            connections[connection.alias].close()

        threads = [threading.Thread(target=send_it) for _n in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(told) == [False] * 5 + [True]
        assert WorkEntry.objects.count() == 1
        assert fault() == ""


class TestFormsOfTheWalk:
    def test_know_every_field(self) -> None:
        """The tests' own record names fields that exist."""
        assert set(TYPED) <= set(EntryForm(issues=[]).fields)
