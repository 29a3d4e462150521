"""Sending a photo, and seeing it."""

import hashlib
import threading
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import OperationalError, connection, connections
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from certs.photos import operations
from certs.photos.models import Photo
from certs.photos.rules import MOST_OF_ONE
from tests.cast import AT, Cast, assemble
from tests.certs.photos import pictures
from training.ledger.models import Entry
from training.ledger.queries import fault

RECORD = UUID(int=5)


def send(client: Client, made_by: int, key: UUID, raw: bytes, **changes: Any) -> HttpResponse:
    about = {"made_by": made_by, "kind": "bonds", "record": RECORD, "taken": "2026-11-25T08:00:00Z"} | changes
    url = reverse("photos:keep", args=[key], query=about)
    return client.post(url, raw, content_type="image/jpeg")


class TestKeep:
    def test_takes_a_photo_once(self, cast: Cast) -> None:
        """201, then 200 for the same bytes again, and one photo; its marks are the received bytes' own."""
        key, raw = uuid4(), pictures.located()
        first = send(cast.client("ada"), cast.ada.pk, key, raw)
        again = send(cast.client("ada"), cast.ada.pk, key, raw)
        assert (first.status_code, again.status_code) == (201, 200)
        assert first.json() == again.json() == {"kept": str(key)}
        photo = Photo.objects.get()
        assert photo.digest == hashlib.sha256(raw).hexdigest()
        assert (photo.kind, photo.record, photo.made_by) == ("bonds", RECORD, cast.ada)
        assert b"Maker" not in bytes(photo.jpeg)
        assert Entry.objects.get().about["photo"] == str(key)
        assert fault() == ""

    def test_does_not_take_another_under_the_same_key(self, cast: Cast) -> None:
        """Other bytes, another record, another person: 409, and the first stays."""
        key = uuid4()
        send(cast.client("ada"), cast.ada.pk, key, pictures.jpeg())
        assert send(cast.client("ada"), cast.ada.pk, key, pictures.jpeg((10, 10))).status_code == 409
        assert send(cast.client("ada"), cast.ada.pk, key, pictures.jpeg(), record=uuid4()).status_code == 409
        assert send(cast.client("ben"), cast.ben.pk, key, pictures.jpeg()).status_code == 409
        assert send(cast.client("ben"), cast.ada.pk, uuid4(), pictures.jpeg()).status_code == 409
        assert Photo.objects.count() == 1

    @pytest.mark.parametrize(
        "raw", [b"", b"<svg/>", pictures.jpeg((400, 300))[:2000], b"\xff\xd8" + b"\0" * 12_000_001]
    )
    def test_says_what_is_wrong_with_a_file(self, cast: Cast, raw: bytes) -> None:
        """422 with a sentence, and nothing kept."""
        answer = send(cast.client("ada"), cast.ada.pk, uuid4(), raw)
        assert answer.status_code == 422
        (problem,) = answer.json()["problems"]
        assert problem["field"] == "photo" and "Take" in problem["says"]
        assert not Photo.objects.exists()

    @pytest.mark.parametrize(
        "changes", [{"kind": ""}, {"kind": "../x"}, {"record": "7"}, {"taken": "now"}, {"taken": "2026-11-25T08:00"}]
    )
    def test_needs_to_know_what_it_is_about(self, cast: Cast, changes: dict[str, str]) -> None:
        """A photo of nothing is no evidence."""
        assert send(cast.client("ada"), cast.ada.pk, uuid4(), pictures.jpeg(), **changes).status_code == 422

    def test_takes_only_so_many_of_one_record(self, cast: Cast) -> None:
        """A phone gone wild fills no disk."""
        Photo.objects.bulk_create(
            Photo(id=uuid4(), made_by=cast.ada, kind="bonds", record=RECORD, digest="", jpeg=b"", kept_at=AT)
            for _n in range(MOST_OF_ONE)
        )
        assert send(cast.client("ada"), cast.ada.pk, uuid4(), pictures.jpeg()).status_code == 422

    def test_asks_the_signed_out_to_sign_in(self, cast: Cast) -> None:
        """A redirect, which leaves the photo on the phone."""
        assert send(Client(), cast.ada.pk, uuid4(), pictures.jpeg()).status_code == 302

    def test_needs_the_token(self, cast: Cast) -> None:
        """No other site can post in somebody's name."""
        client = Client(enforce_csrf_checks=True)
        client.force_login(cast.ada)
        assert send(client, cast.ada.pk, uuid4(), pictures.jpeg()).status_code == 403

    def test_says_busy_when_the_database_is(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        """503 with a time to come again, which leaves the photo on the phone."""

        def locked(**facts: object) -> None:
            raise OperationalError("database is locked")

        monkeypatch.setattr(operations, "keep", locked)
        client = Client(raise_request_exception=False)
        client.force_login(cast.ada)
        answer = send(client, cast.ada.pk, uuid4(), pictures.jpeg())
        assert answer.status_code == 503
        assert answer.headers["Retry-After"] == "30"


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestAtOnce:
    def test_one_key_sent_by_many_is_one_photo(self) -> None:
        """One is told new, the others the same; nobody gets an error."""
        cast, key, raw = assemble(), uuid4(), pictures.jpeg()
        told: list[bool] = []
        barrier = threading.Barrier(6)

        def keep() -> None:
            barrier.wait()
            _photo, new = operations.keep(
                key=key, made_by=cast.ada, kind="bonds", record=RECORD, raw=raw, taken_at=None, at=AT
            )
            told.append(new)
            connections[connection.alias].close()

        threads = [threading.Thread(target=keep) for _n in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(told) == [False] * 5 + [True]
        assert Photo.objects.count() == 1


class TestPhoto:
    @pytest.fixture
    def photo(self, cast: Cast) -> Photo:
        made, _new = operations.keep(
            key=uuid4(), made_by=cast.ada, kind="bonds", record=RECORD, raw=pictures.jpeg(), taken_at=None, at=AT
        )
        return made

    @pytest.mark.parametrize(
        ("who", "status"),
        [
            ("ada", 200),
            ("sol", 200),
            ("tess", 200),
            ("max", 200),
            ("ben", 404),
            ("quin", 404),
            ("rex", 404),
            ("nobody", 302),
        ],
    )
    def test_is_shown_to_who_may_see_its_maker(self, cast: Cast, photo: Photo, who: str, status: int) -> None:
        """A mate and a stranger are not told that it is there."""
        assert cast.client(who).get(reverse("photos:photo", args=[photo.pk])).status_code == status

    def test_is_sent_as_a_picture_and_nothing_else(self, cast: Cast, photo: Photo) -> None:
        """No guessing of its type, no script, its own name, in no cache."""
        answer = cast.client("ada").get(reverse("photos:photo", args=[photo.pk]))
        assert answer.headers["Content-Type"] == "image/jpeg"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Content-Disposition"] == f'inline; filename="{photo.pk}.jpg"'
        assert answer.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
        assert answer.headers["Cache-Control"] == "no-store"
        assert answer.content[:2] == b"\xff\xd8"
