"""The database's own programs, where the database is a server."""

import os
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _


class ProgramFailed(Exception):
    """A program of the database said no; its text is what it said last."""


def run(name: str, database: Mapping[str, Any], *arguments: str) -> None:
    """Run pg_dump or pg_restore against a database. Raises ProgramFailed.

    The password goes by the environment: arguments are seen by every user of the machine.
    """
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    program = str(found[-1]) if found else shutil.which(name)
    if not program:
        raise ProgramFailed(_("%(name)s is not on this machine: install the client of PostgreSQL.") % {"name": name})
    names = {"HOST": "PGHOST", "PORT": "PGPORT", "USER": "PGUSER", "PASSWORD": "PGPASSWORD", "NAME": "PGDATABASE"}
    given = {variable: str(database[key]) for key, variable in names.items() if database.get(key)}
    ran = subprocess.run(  # noqa: S603  a fixed program with fixed arguments
        [program, *arguments], env={**os.environ, **given}, capture_output=True, text=True, check=False
    )
    if ran.returncode:
        raise ProgramFailed((ran.stderr.strip() or name).splitlines()[-1])
