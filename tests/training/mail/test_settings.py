"""How mail leaves is read from the environment."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
NAMES = (
    "EMAIL_BACKEND",
    "EMAIL_HOST",
    "EMAIL_PORT",
    "EMAIL_HOST_USER",
    "EMAIL_HOST_PASSWORD",
    "EMAIL_USE_TLS",
    "EMAIL_USE_SSL",
)
PRINTS = f"""
import json
from training.config import settings
print(json.dumps({{name: getattr(settings, name) for name in {NAMES}}}))
"""


def read(**variables: str) -> subprocess.CompletedProcess[str]:
    """Read the settings in a process of its own, with nothing about mail but this in its environment."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("FERRULE_EMAIL")}
    command = [sys.executable, "-c", PRINTS]
    return subprocess.run(command, cwd=ROOT, env=kept | variables, capture_output=True, text=True, check=False)


class TestMail:
    def test_is_shown_on_the_console_without_a_server(self) -> None:
        """Nothing leaves a machine that was not told where to."""
        assert json.loads(read().stdout)["EMAIL_BACKEND"].endswith("console.EmailBackend")

    def test_leaves_by_the_server_that_is_named(self, tmp_path: Path) -> None:
        """With the password from a file."""
        secret = tmp_path / "password"
        secret.write_text("a long secret\n", encoding="utf-8")
        found = json.loads(
            read(
                FERRULE_EMAIL_HOST="mail.example.org",
                FERRULE_EMAIL_PORT="587",
                FERRULE_EMAIL_USER="ferrule",
                FERRULE_EMAIL_PASSWORD_FILE=str(secret),
                FERRULE_EMAIL_TLS="starttls",
            ).stdout
        )
        smtp = "django.core.mail.backends.smtp.EmailBackend"
        wanted = (smtp, "mail.example.org", 587, "ferrule", "a long secret", True, False)
        assert tuple(found[name] for name in NAMES) == wanted

    @pytest.mark.parametrize(("asked", "starts", "from_the_first_byte"), [("tls", False, True), ("", False, False)])
    def test_is_enciphered_as_asked(self, asked: str, starts: bool, from_the_first_byte: bool) -> None:
        """RFC 8314: implicit TLS on port 465."""
        found = json.loads(read(FERRULE_EMAIL_TLS=asked).stdout)
        assert (found["EMAIL_USE_TLS"], found["EMAIL_USE_SSL"]) == (starts, from_the_first_byte)

    def test_is_not_sent_in_the_clear_by_a_misspelling(self) -> None:
        """A word that is not known stops the start."""
        done = read(FERRULE_EMAIL_TLS="yes")
        assert done.returncode
        assert "FERRULE_EMAIL_TLS is starttls, tls, or left out." in done.stderr
