"""A filled site, laid once a run and copied for each drill."""

import json
import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from pytest_django import DjangoDbBlocker

from tests.faults.drill import Drill
from tests.journeys.killable import Server
from tests.shared import once_a_run

FULL = os.environ.get("FERRULE_FAULTS") == "full"
LAY = "import training.config.sqlite, django; django.setup()\nfrom tests.faults.ground import lay_out\nlay_out(**%r)"
COUNTS = {"takers": 8, "starters": 50, "assessors": 12, "candidates": 150}


def lay(folder: Path, database: str = "", **counts: int) -> dict[str, Any]:
    """Lay the ground into a folder or a server's database; return what the clients need."""
    laid = Drill(folder, database, settings="tests.faults.laying").python(LAY % (COUNTS | counts))
    assert laid.returncode == 0, laid.stderr
    return json.loads(laid.stdout)  # type: ignore[no-any-return]


@dataclass
class Site:
    """A filled site of its own."""

    drill: Drill
    ground: dict[str, Any]

    @property
    def file(self) -> Path:
        """Return the SQLite file."""
        return self.drill.folder / "ferrule.sqlite3"

    @property
    def url(self) -> str:
        """Return the DATABASE_URL."""
        return self.drill.database or str(self.file)

    def serve(self, *options: str, application: str = "training.config.wsgi", **environment: str) -> Server:
        """Start two sync workers under the real settings."""
        # Loaded once and forked: nothing opens a database before the fork, and a drill restarts it often.
        options = ("--workers", "2", "--preload", *options)
        return Server(application, *options, environment=self.drill.environment | environment)


@pytest.fixture(scope="session")
def pattern(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    """Lay the ground once for all the processes of a run."""
    folder, told = once_a_run(tmp_path_factory, "ground", lambda empty: json.dumps(lay(empty)))
    return folder, json.loads(told)


@pytest.fixture
def new_site(
    pattern: tuple[Path, dict[str, Any]], tmp_path: Path, django_db_blocker: DjangoDbBlocker
) -> Iterator[Callable[..., Site]]:
    """Return what makes a fresh filled site; its database may be asked in the test."""
    made = iter(range(1000))

    def make(folder: Path | None = None, settings: str = "training.config.settings") -> Site:
        folder = folder or tmp_path / f"site{next(made)}"
        folder.mkdir(exist_ok=True)
        for file in pattern[0].iterdir():
            if file.name == "static":
                (folder / "static").symlink_to(file)
            else:
                shutil.copy2(file, folder)
        return Site(Drill(folder, settings=settings), pattern[1])

    with django_db_blocker.unblock():
        yield make


@pytest.fixture
def site(new_site: Callable[..., Site]) -> Site:
    """Make one filled site."""
    return new_site()
