"""The tables are those of the models, and the lock and the files name no machine."""

import re
import shutil
import subprocess
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from certs.management.commands import demo as command
from tests.shared import make_demo

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.django_db
class TestMigrations:
    def test_are_complete(self) -> None:
        """A changed model without its migration is caught here, not at a customer."""
        call_command("makemigrations", "--check", "--dry-run", stdout=StringIO())


class TestDemoCommand:
    def test_sets_up_once_and_then_changes_nothing(self, demo: tuple[Path, str], tmp_path: Path) -> None:
        """From no database to sign-ins by the migrations; again, and all is as it was."""
        said = [demo[1], make_demo(Path(shutil.copytree(demo[0], tmp_path / "data")))]
        signs_in = [line for line in said[0].splitlines() if " / " in line]
        roles = ["crew member", "supervisor", "trainer", "second trainer", "administrator"]
        assert [line.split(":")[0] for line in signs_in] == roles
        assert "nothing was changed" in said[1]
        assert signs_in == [line for line in said[1].splitlines() if " / " in line]

    def test_refuses_outside_debug(self) -> None:
        """Everyone knows the demo's passwords."""
        with pytest.raises(CommandError, match="FERRULE_DEBUG=1"):
            call_command("demo", no_serve=True)

    @pytest.mark.django_db
    def test_serves_the_pages_of_the_site_itself(self, settings, monkeypatch: pytest.MonkeyPatch) -> None:
        """Whoever mistypes an address reads the site's own words, not the site map that Django shows with DEBUG on."""
        settings.DEMO = settings.DEBUG = True
        served: list[tuple[object, ...]] = []
        for name in ("prepare", "make"):
            monkeypatch.setattr(command.Command, name, lambda _self: None)
        monkeypatch.setattr(command, "call_command", lambda *what, **_how: served.append((*what, settings.DEBUG)))
        call_command("demo", "--port", "8123", stdout=StringIO())
        assert served == [("runserver", "127.0.0.1:8123", False)]


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
