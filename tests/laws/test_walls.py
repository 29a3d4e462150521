"""The import directions of pyproject.toml, and the purity of the pure floors without any tool."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# A name that is None among the modules cannot be imported.
WITHOUT_DJANGO = """
import importlib, sys
sys.modules["django"] = None
for name in sys.argv[1:]:
    try:
        importlib.import_module(name)
    except ImportError:
        print(name)
"""


def pure_modules() -> list[str]:
    """Every module that must import without Django."""
    rooms = ["training/calc", "training/questions", "training/statistics", "training/content"]
    files = [file for room in rooms for file in sorted((ROOT / room).rglob("*.py"))]
    files += [*sorted(ROOT.glob("*/*/rules.py")), *sorted(ROOT.glob("*/*/code.py"))]
    files += sorted((ROOT / "certs/cards/code").glob("*.py"))
    names = [".".join(file.relative_to(ROOT).with_suffix("").parts) for file in files]
    return [name.removesuffix(".__init__") for name in names if not name.endswith("__main__")]


def bringing_django(modules: list[str]) -> list[str]:
    """Return those modules that cannot be imported where there is no Django, asked of a Python of its own."""
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_DJANGO, *modules], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return done.stdout.split()


class TestContracts:
    def test_hold(self) -> None:
        """No import crosses a wall."""
        command = [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout


class TestPureFloor:
    def test_imports_without_django(self) -> None:
        """Importing a pure module brings no web framework along, not even one that is there by then."""
        assert bringing_django(pure_modules()) == []

    def test_is_not_empty(self) -> None:
        """The list above is found by looking, so it must find something."""
        assert {"training.calc.catalogue", "certs.cards.rules", "training.people.rules"} <= set(pure_modules())

    def test_finds_what_brings_it(self) -> None:
        """A module that needs a model is told, and so is the one after it."""
        found = bringing_django(["training.calc.day", "certs.cards.queries", "training.people.access"])
        assert found == ["certs.cards.queries", "training.people.access"]
