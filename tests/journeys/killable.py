"""The site under gunicorn on the test's own database, to be killed as a power cut kills it.

A live server in a thread will not do: its open connections answer on after it has been stopped.
"""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from tempfile import TemporaryFile
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 60


def application() -> Callable[..., Any]:
    """Make the application, with static files found where they lie; gunicorn calls this."""
    from django.contrib.staticfiles.handlers import StaticFilesHandler  # noqa: PLC0415

    import training.config.wsgi  # noqa: PLC0415 (sets Django up, and its database first)

    return StaticFilesHandler(training.config.wsgi.application)


def free_port() -> int:
    """Return a port of 127.0.0.1 that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def address(facts: dict[str, Any]) -> str:
    """Return the DATABASE_URL of a connection's settings."""
    if "sqlite3" in facts["ENGINE"]:
        return str(facts["NAME"])
    return f"postgresql://{facts['USER']}:{facts['PASSWORD']}@{facts['HOST']}:{facts['PORT']}/{facts['NAME']}"


class Server:
    """Gunicorn at one address, in a process group of its own: started, killed and started again."""

    def __init__(self, *options: str, environment: Mapping[str, str]) -> None:
        self.port = free_port()
        self.base = f"http://127.0.0.1:{self.port}"
        self.options, self.environment = options, environment
        self.start()

    def start(self) -> None:
        """Start it and wait until it answers."""
        command = [str(Path(sys.executable).with_name("gunicorn")), *self.options]
        options = ["--bind", f"127.0.0.1:{self.port}", "--no-control-socket", "--log-level", "error"]
        with TemporaryFile() as said:
            self.process = subprocess.Popen(
                command + options, cwd=ROOT, env=self.environment, stdout=said, stderr=said, start_new_session=True
            )
            until = time.monotonic() + PATIENCE
            while not self.answers():
                if time.monotonic() > until or self.process.poll() is not None:
                    self.kill()
                    said.seek(0)
                    raise RuntimeError(said.read().decode())
                time.sleep(0.1)

    def answers(self) -> bool:
        """Say whether anybody listens."""
        try:
            socket.create_connection(("127.0.0.1", self.port), timeout=5).close()
        except ConnectionRefusedError:
            return False
        except ConnectionResetError:
            return self.answers()  # it died while it was asked
        return True

    def kill(self) -> None:
        """Kill its whole process group, which is its own, and wait until nobody answers any more."""
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=PATIENCE)
        # Its workers are not our children: they cannot be waited for, only seen to be gone.
        until = time.monotonic() + PATIENCE
        while self.answers():
            if time.monotonic() > until:
                raise RuntimeError(f"something still listens on port {self.port}")
            time.sleep(0.05)

    def hang(self) -> None:
        """Stop its whole process group in its tracks: connections are taken, and nothing is ever said."""
        os.killpg(self.process.pid, signal.SIGSTOP)

    def workers(self) -> list[int]:
        """Return the numbers of the processes that the master started (proc(5))."""
        master = self.process.pid
        return [int(pid) for pid in Path(f"/proc/{master}/task/{master}/children").read_text(encoding="ascii").split()]

    def kill_workers(self) -> None:
        """Kill every worker, as a kernel out of memory does; the master lives and starts others."""
        for pid in self.workers():
            os.kill(pid, signal.SIGKILL)


class Killable(Server):
    """The site under threads, on the database of a test."""

    def __init__(self, database: dict[str, Any]) -> None:
        environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings", "DATABASE_URL": address(database)}
        super().__init__("tests.journeys.killable:application()", "--threads", "8", environment=environment)
