"""`manage.py test`: the whole suite on SQLite, then the tests marked `both` on PostgreSQL.

`--database postgresql` runs what asks a database on PostgreSQL: a private cluster, or the server in DATABASE_URL.
`--faults` runs the drills of tests/faults in full: hundreds of kills, power cuts, full disks; about an hour.
All other arguments are pytest's.
"""

import os
import subprocess
import sys
from pathlib import Path

from tests.cluster import postgresql

ROOT = Path(__file__).resolve().parent.parent
NOTHING_SELECTED = 5


def pytest(arguments: list[str], *, database: str) -> int:
    """Run pytest in a process of its own, since Django reads its settings once."""
    environment = {**os.environ, "DATABASE_URL": database}
    # A run is some hundred processes, each of which would compile the whole site and every test anew.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [sys.executable, "-m", "pytest", *arguments]
    return subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode


def on_postgresql(arguments: list[str]) -> int:
    """Run pytest against DATABASE_URL where that is a PostgreSQL, else against a private cluster."""
    given = os.environ.get("DATABASE_URL", "")
    if given.startswith("postgres"):
        return pytest(arguments, database=given)
    with postgresql() as url:
        return pytest(arguments, database=url)


def main(arguments: list[str]) -> int:
    """Return pytest's exit code; a selection with nothing marked `both` is no failure."""
    if "--faults" in arguments:
        arguments.remove("--faults")
        os.environ["FERRULE_FAULTS"] = "full"
        # One at a time, each with the machine to itself, and what it measured is shown.
        return pytest(["tests/faults", "-s", "--no-cov", *arguments], database="")
    whole = "--database" in arguments
    if whole:
        at = arguments.index("--database")
        choice = arguments[at + 1 : at + 2]
        if choice not in (["sqlite"], ["postgresql"]):
            print("Write --database sqlite or --database postgresql.", file=sys.stderr)
            return 2
        del arguments[at : at + 2]
    if not any(a.startswith(("-n", "--numprocesses")) for a in arguments):
        # The long tests stand at the end: who has none left takes some from who has many.
        arguments = ["-n", "auto", "--dist", "worksteal", *arguments]
    if whole and choice == ["postgresql"]:
        return on_postgresql(arguments)
    code = pytest(arguments, database="")
    if code or whole or "-m" in arguments:
        return code
    print("Now the tests of writing at the same time, on PostgreSQL", flush=True)
    code = on_postgresql(["-m", "both", "--no-cov", *arguments])
    return 0 if code == NOTHING_SELECTED else code
