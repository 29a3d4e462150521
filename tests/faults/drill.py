"""A site of its own for a drill: its folder, its database, its commands run as an operator runs them."""

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

# Writes entries without pause and says each number once it is kept.
WRITER = """
import training.config.sqlite, django
django.setup()
from datetime import datetime, UTC
from training.ledger.operations import write
while True:
    print(write(by=1, act='drilled', about={'text': 'x' * 200}, at=datetime.now(UTC)).seq, flush=True)
"""


@dataclass
class Drill:
    """Commands against one data folder and database."""

    folder: Path
    database: str = ""
    debug: bool = False
    settings: str = "training.config.settings"

    @property
    def environment(self) -> dict[str, str]:
        """The settings of a real site: debug off, durable."""
        return {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": self.settings,
            "FERRULE_DEBUG": "1" if self.debug else "",
            "FERRULE_SECRET_KEY": "only for the drill, and long enough to please every check 0123456789abcdef",
            "FERRULE_HOSTS": "ferrule.example.org",
            "FERRULE_SITE_URL": "https://ferrule.example.org",
            "FERRULE_DATA_DIR": str(self.folder),
            "DATABASE_URL": self.database,
        }

    def manage(self, *arguments: str, fails: bool = False) -> str:
        """Run a command; return what it said, on error output where it is to fail."""
        command = [sys.executable, "manage.py", *arguments]
        ran = subprocess.run(command, cwd=ROOT, env=self.environment, capture_output=True, text=True, check=False)
        assert bool(ran.returncode) == fails, ran.stdout + ran.stderr
        return ran.stderr if fails else ran.stdout

    def python(self, code: str, *arguments: str) -> "subprocess.CompletedProcess[str]":
        """Run a program beside the site."""
        command = [sys.executable, "-c", code, *arguments]
        return subprocess.run(command, cwd=ROOT, env=self.environment, capture_output=True, text=True, check=False)

    def writer(self) -> "subprocess.Popen[str]":
        """Start the writer and wait until it has written a little."""
        command = [sys.executable, "-c", WRITER]
        started = subprocess.Popen(command, cwd=ROOT, env=self.environment, stdout=subprocess.PIPE, text=True)
        for _ in range(50):
            assert started.stdout and started.stdout.readline()
        return started
