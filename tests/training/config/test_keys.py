"""A new secret of the site: sessions and links made under the old one go on while it stands among the fallbacks."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from tests.cast import AT, PASSWORD, Cast
from training.people import operations
from training.people.access import invitation_for, secret_of
from training.people.rules import Purpose

NEW = "the secret of next year, long enough to please every check there is 987654321"
ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture
def rotated(settings):
    """What turns the secret over: the new one signs, the old one is still believed."""

    def rotate(*, keep: bool) -> None:
        old = settings.SECRET_KEY
        settings.SECRET_KEY = NEW
        settings.SECRET_KEY_FALLBACKS = [old] if keep else []

    return rotate


def test_sessions_survive_while_the_old_one_is_believed(cast: Cast, rotated) -> None:
    client = Client()
    client.post("/account/login/", {"login": "ada", "password": PASSWORD})
    assert client.get("/").status_code == 200
    rotated(keep=True)
    assert client.get("/").status_code == 200
    # Django has bound the session to the new secret by now, so the old one can go.
    settings.SECRET_KEY_FALLBACKS = []
    assert client.get("/").status_code == 200


def test_sessions_end_without_it(cast: Cast, rotated) -> None:
    client = cast.client("ada")
    rotated(keep=False)
    assert client.get("/").status_code == 302


def test_secrets_come_from_files(tmp_path: Path) -> None:
    """The settings are read by a process of their own."""
    (tmp_path / "secret").write_text("from a file\n", encoding="utf-8")
    (tmp_path / "older").write_text("the first,the second\n", encoding="utf-8")
    said = {
        "FERRULE_SECRET_KEY_FILE": str(tmp_path / "secret"),
        "FERRULE_SECRET_KEY_FALLBACKS_FILE": str(tmp_path / "older"),
        "FERRULE_DATA_DIR": str(tmp_path),
        "PATH": os.environ["PATH"],
    }
    ask = "from training.config import settings as s; print(s.SECRET_KEY, s.SECRET_KEY_FALLBACKS)"
    out = subprocess.run([sys.executable, "-c", ask], cwd=ROOT, env=said, capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "from a file ['the first', 'the second']"


def test_links_survive_as_well_and_no_longer(cast: Cast, rotated) -> None:
    one = operations.invite_from_the_server(person=cast.ada, purpose=Purpose.FORGOTTEN, at=AT)
    secret = secret_of(one)
    rotated(keep=True)
    assert invitation_for(secret, at=AT) == one
    settings.SECRET_KEY_FALLBACKS = []
    assert invitation_for(secret, at=AT) is None
