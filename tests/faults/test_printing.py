"""A print that is killed, that finds the disk full, or whose key is gone: no card lost, none twice, no half a file."""

import http.client
import io
import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from http import HTTPStatus
from pathlib import Path

import pypdf
import pytest
from django.conf import settings
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from certs.batches import operations, queries
from certs.batches.models import Batch, BatchPart
from certs.batches.rules import STEP
from certs.cards.models import Card, Signature
from certs.cards.pdf import Layout
from tests.cast import Cast, person
from tests.certs import factory
from tests.journeys.killable import Killable, address
from tests.keys import make_keys
from training.ledger.models import Entry

pytestmark = [pytest.mark.django_db(transaction=True)]

ROOT = Path(__file__).resolve().parents[2]
CARDS, PATIENCE = STEP + 10, 60


@pytest.fixture
def held(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> list[Card]:
    """Cards of two steps, and a key that signs today for every process."""
    monkeypatch.setenv("FERRULE_CARD_KEY_PATH", str(settings.CARD_KEY_FILE))
    make_keys()
    today = timezone.now().date()
    return [factory.card(cast, person(f"p{at}", f"Person {at}", cast.northmoor), on=today) for at in range(CARDS)]


@pytest.fixture
def batch(cast: Cast, held: list[Card]) -> Batch:
    return operations.ask(by=cast.sol, chosen=held, layout=Layout.CARDS, language="", at=timezone.now())


def printing(*arguments: str, most: int = 0) -> "subprocess.Popen[str]":
    """Start `print_cards` as a process of its own; `most` bytes is the largest file that it may write."""
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "tests.settings",
        "DATABASE_URL": address(connection.settings_dict),
    }
    command = [sys.executable, "manage.py", "print_cards", *arguments]
    if most:
        # setrlimit(2), RLIMIT_FSIZE: a write past it fails as on a full disk, with another number.
        command = ["prlimit", f"--fsize={most}", *command]
    return subprocess.Popen(
        command, cwd=ROOT, env=environment, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )


def until(seen: Callable[[], bool], process: "subprocess.Popen[str]") -> None:
    """Wait for something that another process does."""
    end = time.monotonic() + PATIENCE
    while not seen():
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < end
        time.sleep(0.02)


def names(content: bytes) -> list[str]:
    """Return whose cards a print holds, front by front."""
    pages = pypdf.PdfReader(io.BytesIO(content)).pages
    return [found[0] for page in pages[::2] if (found := re.search(r"Person \d+", page.extract_text()))]


def everyone(batch: Batch) -> list[str]:
    return list(batch.cards.order_by("place").values_list("card__holder_name", flat=True))


class TestKilled:
    """kill -9 in the middle: what was kept stays, what was not is made again, once."""

    def test_command_goes_on_without_a_card_lost_or_twice(self, held: list[Card], tmp_path: Path) -> None:
        """Killed in its second step; no file is there until it is whole, and each code is logged once."""
        file = tmp_path / "cards.pdf"
        first = printing(str(file), "--by", "sol", "--employer", "northmoor", "--layout", "cards")
        until(BatchPart.objects.exists, first)
        first.kill()
        first.communicate(timeout=PATIENCE)
        batch = Batch.objects.get()
        assert (first.returncode, list(tmp_path.iterdir())) == (-signal.SIGKILL, [])
        assert queries.progress_of(batch).printed in {STEP, CARDS}
        second = printing(str(file), "--batch", str(batch.pk))
        said = second.communicate(timeout=PATIENCE)
        assert second.returncode == 0, said
        assert names(file.read_bytes()) == everyone(batch)
        assert len(everyone(batch)) == CARDS == Signature.objects.count()
        assert Entry.objects.filter(act="cards printed").count() == 1
        assert list(tmp_path.iterdir()) == [file]

    def test_web_batch_goes_on_without_a_card_lost_or_twice(self, cast: Cast, batch: Batch) -> None:
        """The server and its workers are killed while they print a step, at two moments, and started again."""
        session = cast.client("sol").cookies["session"].value
        connection.close()
        server = Killable(connection.settings_dict)
        try:
            for wait in (0.2, 0.8):
                asking = threading.Thread(target=pressed, args=(server.port, batch, session))
                asking.start()
                time.sleep(wait)
                server.kill()
                asking.join(PATIENCE)
                progress = queries.progress_of(batch)
                assert progress.printed == min(CARDS, STEP * batch.parts.count())
                server.start()
            for _step in range(3):
                assert pressed(server.port, batch, session) == HTTPStatus.FOUND
        finally:
            server.kill()
        made = Batch.objects.get()
        assert names(bytes(made.pdf)) == everyone(batch)
        assert (len(everyone(batch)), made.pages) == (CARDS, 2 * CARDS)
        assert Entry.objects.filter(act="cards printed").count() == 1


def pressed(port: int, batch: Batch, session: str) -> int:
    """Press the button of a batch's page; 0 when the server went away meanwhile."""
    token = "a" * 32
    asking = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    headers = {"Cookie": f"session={session}; csrf={token}", "X-CSRFToken": token}
    try:
        asking.request("POST", reverse("batches:advance", kwargs={"pk": batch.pk}), headers=headers)
        return asking.getresponse().status
    except (http.client.HTTPException, OSError):
        return 0
    finally:
        asking.close()


class TestDiskFull:
    """A sentence, nothing half kept, and it goes on once there is room."""

    def test_file_that_does_not_fit_is_not_there(self, batch: Batch, tmp_path: Path) -> None:
        """Neither under its name nor under the other; what stood there before stands there still."""
        while batch.made_at is None:
            batch = operations.advance(batch=batch, at=timezone.now())
        file = tmp_path / "cards.pdf"
        file.write_bytes(b"the print of yesterday")
        room = len(bytes(batch.pdf)) - 1000
        failing = printing(str(file), "--batch", str(batch.pk), most=room)
        _out, said = failing.communicate(timeout=PATIENCE)
        assert failing.returncode == 1
        assert "could not be written" in said
        assert "Traceback" not in said
        assert [(each, each.read_bytes()) for each in tmp_path.iterdir()] == [(file, b"the print of yesterday")]
        again = printing(str(file), "--batch", str(batch.pk))
        said = again.communicate(timeout=PATIENCE)
        assert again.returncode == 0, said
        assert names(file.read_bytes()) == everyone(batch)


class TestKeyGone:
    """Without the key, or with one that others can read, nothing is signed and nothing printed."""

    @pytest.mark.parametrize("mode", [None, 0o444])
    def test_says_so_and_keeps_nothing(self, cast: Cast, batch: Batch, tmp_path: Path, mode: int | None) -> None:
        """The command, the page of a batch and the print of a single card alike."""
        key, file = Path(settings.CARD_KEY_FILE), tmp_path / "cards.pdf"
        sentence = "There is no key to sign with" if mode is None else "Others can read the key"
        if mode is None:
            key.unlink()
        else:
            key.chmod(mode)
        failing = printing(str(file), "--batch", str(batch.pk))
        _out, said = failing.communicate(timeout=PATIENCE)
        assert (failing.returncode, sentence in said, "Traceback" in said) == (1, True, False)
        client, number = cast.client("sol"), batch.cards.get(place=1).card.number
        for answer in (
            client.post(reverse("batches:advance", kwargs={"pk": batch.pk}), follow=True),
            client.get(reverse("cards:pdf", kwargs={"number": number}), follow=True),
        ):
            assert sentence in answer.content.decode()
        assert (Signature.objects.count(), BatchPart.objects.count(), list(tmp_path.iterdir())) == (0, 0, [])
        assert queries.progress_of(batch).printed == 0
