"""The examples for operators name commands and settings that exist, and the manager of services accepts them."""

import re
import shutil
import subprocess
from configparser import ConfigParser
from pathlib import Path

import pytest
from django.core.management import get_commands

ROOT = Path(__file__).resolve().parents[2]
DEPLOY = ROOT / ".deploy"
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
UNITS = sorted(DEPLOY.glob("*.service")) + sorted(DEPLOY.glob("*.timer"))
DOOR = {"demo", "test", "bench"}  # of manage.py itself


class TestExamples:
    def test_name_commands_there_are(self) -> None:
        texts = [path.read_text(encoding="utf-8") for path in DEPLOY.iterdir()] + [GUIDE]
        named = {name for text in texts for name in re.findall(r"manage\.py ([a-z_]+)", text)}
        assert len(named) > 15
        assert named - set(get_commands()) - DOOR == set()

    def test_name_settings_there_are(self) -> None:
        """Each variable is one the settings read, and stands in the guide."""
        read = (ROOT / "training" / "config" / "settings.py").read_text(encoding="utf-8")
        named = {
            name for path in DEPLOY.iterdir() for name in re.findall(r"\b(?:FERRULE_\w+)", path.read_text("utf-8"))
        }
        bare = {name.removesuffix("_FILE") for name in named}
        assert {name for name in bare if f'"{name}"' not in read} == set()
        assert {name for name in bare if f"`{name}`" not in GUIDE} == set()

    @pytest.mark.parametrize(
        ("name", "words"), [("nightly", "Once a day"), ("monthly", "Once a month"), ("mail", "Every five minutes")]
    )
    def test_every_round_does_what_the_guide_says(self, name: str, words: str) -> None:
        """The same commands in the same order, and a timer that starts them as often."""
        unit = (DEPLOY / f"ferrule-{name}.service").read_text(encoding="utf-8")
        says = re.search(rf"{words}, by a timer: (.*?)\n\d", GUIDE, flags=re.S)
        assert says
        assert re.findall(r"manage\.py ([\w -]+\w)`", says[1]) == re.findall(r"manage\.py (.+)", unit)
        timer = (DEPLOY / f"ferrule-{name}.timer").read_text(encoding="utf-8")
        assert re.search(r"^OnCalendar=\*-\*-(\*|\d\d) ", timer, flags=re.M)[1].isdigit() is (name == "monthly")

    @pytest.mark.parametrize("unit", UNITS, ids=lambda path: path.name)
    def test_are_read_as_units(self, unit: Path, tmp_path: Path) -> None:
        """By the standard library's reader, and by systemd's own where the machine has it."""
        reader = ConfigParser(strict=False, interpolation=None, delimiters=["="])
        reader.optionxform = str  # type: ignore[assignment,method-assign]
        reader.read(unit)
        assert reader.sections()[0] == "Unit"
        program = shutil.which("systemd-analyze")
        if program:
            for path in UNITS:
                text = path.read_text(encoding="utf-8").replace("/opt/ferrule/.venv/bin/gunicorn", "/bin/true")
                (tmp_path / path.name).write_text(text.replace("/opt/ferrule/.venv/bin/python", "/bin/true"))
            ran = subprocess.run([program, "verify", tmp_path / unit.name], capture_output=True, text=True, check=False)
            assert (ran.returncode, ran.stderr) == (0, "")
