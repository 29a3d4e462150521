"""DEVELOPERS.md and README.md name what there is."""

import re
from pathlib import Path

import pytest
from django.apps import apps

ROOT = Path(__file__).resolve().parents[2]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")
HIDDEN = {"config", "management", "migrations", "templatetags"}
ROOMS = sorted(
    f"{package}.{path.parent.name}"
    for package in ("training", "certs")
    for path in (ROOT / package).glob("*/__init__.py")
    if path.parent.name not in HIDDEN
)
VARIABLES = sorted(
    set(re.findall(r'\benv\("(\w+)"', (ROOT / "training/config/settings.py").read_text(encoding="utf-8")))
)
COMMANDS = sorted(path.stem for path in ROOT.glob("*/management/commands/*.py") if not path.stem.startswith("_"))


class TestDevelopersGuide:
    @pytest.mark.parametrize("name", VARIABLES)
    def test_names_every_variable(self, name: str) -> None:
        """A setting that is not described cannot be set by the one who needs it."""
        assert f"`{name}`" in DEVELOPERS

    @pytest.mark.parametrize("room", ROOMS)
    def test_names_every_room(self, room: str) -> None:
        """A newcomer finds every room in one list."""
        assert f"| {room} |" in DEVELOPERS

    @pytest.mark.parametrize("command", COMMANDS)
    def test_names_every_command(self, command: str) -> None:
        """A command nobody can find is not there."""
        assert f"manage.py {command}" in DEVELOPERS


class TestReadme:
    @pytest.mark.parametrize("command", ["python3 manage.py demo", "python3 manage.py test"])
    def test_shows_the_two_commands(self, command: str) -> None:
        """Starting and testing are one line each."""
        assert command in README

    def test_shows_a_picture_that_exists(self) -> None:
        """The picture of the site is in the checkout."""
        pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
        assert pictures
        assert all((ROOT / picture).exists() for picture in pictures)


class TestTableOfContents:
    @pytest.mark.parametrize("label", ["training", "certs"])
    def test_lists_every_table(self, label: str) -> None:
        """`models.py` of a package re-exports every table of its rooms."""
        module = __import__(f"{label}.models", fromlist=["__all__"])
        assert {model.__name__ for model in apps.get_app_config(label).get_models()} == set(module.__all__)
