"""The page of safe keeping, the answer for machines, and the site closed for maintenance."""

from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError
from django.test import Client
from pytest_django import Settings

from tests.cast import Cast
from tests.training.reply import page
from training.keeping import operations
from training.keeping.models import Copy, Probe
from training.keeping.operations.probe import EVERY
from training.ledger.models import Entry
from training.ledger.operations import write

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)


@pytest.mark.django_db
class TestHealth:
    def test_says_what_to_look_at_and_serves_on(self, client: Client) -> None:
        answer = client.get("/health/")
        assert answer.status_code == 200
        assert answer.json()["serves"] is True
        assert answer.json()["copy"] == "look"
        assert answer["Cache-Control"] == "no-store"

    def test_sends_away_where_nothing_can_be_kept(self, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        def full(**facts: object) -> None:
            raise OperationalError("database or disk is full")

        monkeypatch.setattr(Probe.objects, "update_or_create", full)
        answer = client.get("/health/")
        assert (answer.status_code, answer.json()["database"]) == (503, "look")

    def test_writes_at_most_once_in_ten_seconds(self) -> None:
        for seconds in (0, 9):
            assert operations.probe(at=NOW + timedelta(seconds=seconds))
            assert Probe.objects.get().at == NOW
        assert operations.probe(at=NOW + EVERY)
        assert Probe.objects.get().at == NOW + EVERY


@pytest.mark.django_db
class TestPage:
    def test_shows_copies_and_proves_the_ledger(self, client: Client, cast: Cast) -> None:
        Copy.objects.create(name="ferrule-1.sqlite3", made_at=NOW, size=2048, sha256="0" * 64, head_seq=7)
        write(by=1, act="made", about={}, at=NOW)
        client.force_login(cast.max)
        assert "ferrule-1.sqlite3" in page(client.get("/keeping/"))
        assert "The ledger is whole." in page(client.post("/keeping/", {"head": ""}))
        assert "Type it as it is printed" in page(client.post("/keeping/", {"head": "twelve"}))
        assert "entries are gone" in page(client.post("/keeping/", {"head": f"9999 {'a' * 16}"}))
        Entry.objects.update(act="unmade")
        assert "was changed after it was written" in page(client.post("/keeping/", {"head": ""}))


@pytest.mark.django_db
class TestMaintenance:
    def test_closes_every_page_and_opens_again(self, client: Client, settings: Settings, tmp_path: Path) -> None:
        settings.DATA_DIR = tmp_path
        call_command("maintenance", "on", "Open again at 22:00.", stdout=StringIO())
        answer = client.post("/account/login/")
        assert (answer.status_code, answer["Retry-After"]) == (503, "300")
        body = page(answer)
        assert "Open again at 22:00." in body and 'href="/check/kept/"' in body and "Try again" in body
        assert client.get("/health/").status_code == 200
        call_command("maintenance", "off", stdout=StringIO())
        assert client.get("/account/login/").status_code == 200


@pytest.mark.django_db
class TestBackupRefuses:
    def test_a_folder_beside_the_original(self, settings: Settings) -> None:
        with pytest.raises(CommandError, match="outside the data folder"):
            call_command("backup", to=Path(settings.DATA_DIR) / "copies")

    def test_no_folder(self) -> None:
        with pytest.raises(CommandError, match="FERRULE_BACKUP_DIR"):
            call_command("backup")
