"""The import directions of pyproject.toml, and the purity of the pure floors without any tool."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def pure_modules() -> list[str]:
    """Every module that must import without Django."""
    rooms = ["training/calc", "training/questions", "training/statistics", "training/content"]
    files = [file for room in rooms for file in sorted((ROOT / room).rglob("*.py"))]
    files += [*sorted(ROOT.glob("*/*/rules.py")), *sorted(ROOT.glob("*/*/code.py"))]
    files += sorted((ROOT / "certs/cards/code").glob("*.py"))
    names = [".".join(file.relative_to(ROOT).with_suffix("").parts) for file in files]
    return [name.removesuffix(".__init__") for name in names if not name.endswith("__main__")]


class TestContracts:
    def test_hold(self) -> None:
        """No import crosses a wall."""
        command = [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout


class TestPureFloor:
    @pytest.mark.parametrize("module", pure_modules())
    def test_imports_without_django(self, module: str) -> None:
        """Importing a pure module brings no web framework along."""
        code = f"import sys, {module}; sys.exit('django' in sys.modules)"
        assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0

    def test_is_not_empty(self) -> None:
        """The list above is found by looking, so it must find something."""
        assert {"training.calc.catalogue", "certs.cards.rules", "training.people.rules"} <= set(pure_modules())
