"""A folder filled once for all the processes of a run, which each test copies."""

import fcntl
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.drill import Drill


def once_a_run(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], str]) -> tuple[Path, str]:
    """Return the folder that `make` filled in whichever process came first, and what it told."""
    base = factory.getbasetemp()
    if os.environ.get("PYTEST_XDIST_WORKER"):
        base = base.parent
    folder, told = base / name, base / f"{name}.told"
    with (base / f"{name}.lock").open("w", encoding="ascii") as turn:
        fcntl.flock(turn, fcntl.LOCK_EX)
        if not told.exists():
            folder.mkdir()
            told.write_text(make(folder), encoding="utf-8")
    return folder, told.read_text(encoding="utf-8")


def make_demo(folder: Path) -> str:
    """Have the demo set itself up from nothing, by all the migrations; return what it said."""
    return Drill(folder, debug=True).manage("demo", "--no-serve")
