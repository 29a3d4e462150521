"""The tables are those of the models, and the lock and the files name no machine."""

import re
import subprocess
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.django_db
class TestMigrations:
    def test_are_complete(self) -> None:
        """A changed model without its migration is caught here, not at a customer."""
        call_command("makemigrations", "--check", "--dry-run", stdout=StringIO())


class TestLock:
    LINES = (ROOT / "requirements.lock").read_text(encoding="utf-8").splitlines()

    def test_names_no_host(self) -> None:
        """Packages come from whatever index pip is set up for."""
        assert not [line for line in self.LINES if "://" in line or line.startswith(("--index", "--extra", "--find"))]

    def test_hashes_every_package(self) -> None:
        """A package without a hash could be swapped on its way."""
        text = "\n".join(self.LINES)
        pinned = re.findall(r"^\S+==\S+.*(?:\n    --hash=sha256:[0-9a-f]{64}.*)+", text, flags=re.M)
        assert len(pinned) == sum("==" in line.split(";")[0] for line in self.LINES if not line.startswith(" "))

    def test_holds_every_package_asked_for(self) -> None:
        """pyproject.toml and the lock are renewed together."""
        asked = re.findall(r'^    "([a-z0-9-]+)', (ROOT / "pyproject.toml").read_text(encoding="utf-8"), flags=re.M)
        locked = {line.split("==")[0].split("[")[0].lower() for line in self.LINES if "==" in line}
        assert {name for name in asked if name in locked} >= {"django", "weasyprint", "pytest-django"}


class TestFiles:
    def test_carry_no_path_of_a_machine(self) -> None:
        """What is committed runs anywhere."""
        listed = subprocess.run(
            ["git", "grep", "-nIE", r"/(home|root)/[a-z]", "--", "*.py", "*.toml", "*.md", "*.html"],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        )
        assert listed.stdout == ""
