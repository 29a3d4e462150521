"""The site under gunicorn on the test's own database, to be killed as a power cut kills it.

A live server in a thread will not do: its open connections answer on after it has been stopped. To load the site takes
seconds, so a nursery loads it once for a test process and database, and every server is forked from there.
"""

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, Any, Protocol

from django.conf import settings
from django.urls import reverse

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


class Process(Protocol):
    """What a server asks of its process."""

    pid: int

    def poll(self) -> int | None: ...
    def wait(self, timeout: float | None = None) -> int: ...


class Server:
    """Gunicorn at one address, in a process group of its own: started, killed and started again."""

    def __init__(self, *options: str, environment: Mapping[str, str]) -> None:
        self.port = free_port()
        self.base = f"http://127.0.0.1:{self.port}"
        self.options, self.environment = options, environment
        self.start()

    def start(self) -> None:
        """Start it and wait until it answers."""
        options = ["--bind", f"127.0.0.1:{self.port}", "--no-control-socket", "--log-level", "error"]
        with TemporaryFile() as said:
            self.process = self.begun([*self.options, *options], said)
            until = time.monotonic() + PATIENCE
            while not self.answers():
                if time.monotonic() > until or self.process.poll() is not None:
                    self.kill()
                    said.seek(0)
                    raise RuntimeError(said.read().decode())
                time.sleep(0.1)

    def begun(self, options: list[str], said: IO[bytes]) -> Process:
        """Start gunicorn, which writes what goes wrong into the file."""
        command = [str(Path(sys.executable).with_name("gunicorn")), *options]
        return subprocess.Popen(
            command, cwd=ROOT, env=self.environment, stdout=said, stderr=said, start_new_session=True
        )

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


class Forked:
    """A process that the nursery started, and clears away once it is dead."""

    def __init__(self, pid: int) -> None:
        self.pid = pid

    def poll(self) -> int | None:
        """Return None as long as it lives."""
        try:
            os.kill(self.pid, 0)
        except ProcessLookupError:
            return -signal.SIGKILL
        return None

    def wait(self, timeout: float | None = None) -> int:
        """Wait until it is gone."""
        until = time.monotonic() + (timeout or PATIENCE)
        while (code := self.poll()) is None:
            if time.monotonic() > until:
                raise TimeoutError(f"process {self.pid} does not end")
            time.sleep(0.01)
        return code


class Killable(Server):
    """The site under threads, on the database, with the keys and the folder of a test."""

    def __init__(self, database: dict[str, Any]) -> None:
        self.nursery = nursery(address(database))
        super().__init__("tests.journeys.killable:application()", "--threads", "8", environment={})

    def begun(self, options: list[str], said: IO[bytes]) -> Process:
        """Have it forked; the file is reached by way of this process, since it has no name."""
        paths = {name: str(getattr(settings, name)) for name in ("CARD_KEY_FILE", "ROOT_PUBLIC_FILE", "DATA_DIR")}
        asked = {"options": options, "said": f"/proc/{os.getpid()}/fd/{said.fileno()}", "paths": paths}
        assert self.nursery.stdin and self.nursery.stdout
        self.nursery.stdin.write(json.dumps(asked) + "\n")
        self.nursery.stdin.flush()
        return Forked(int(self.nursery.stdout.readline()))


@cache
def nursery(database: str) -> "subprocess.Popen[str]":
    """Start the nursery of a database; it ends with this process, whose end of the pipe it reads."""
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings", "DATABASE_URL": database}
    command = [sys.executable, "-m", "tests.journeys.killable"]
    pipe = subprocess.PIPE
    return subprocess.Popen(command, cwd=ROOT, env=environment, stdin=pipe, stdout=pipe, text=True)


def tend() -> None:
    """Load the site, then fork a server for each line read, and say its number; no database is opened before."""
    application()
    reverse("worker")  # reads all the addresses, as every first page would
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # the dead are cleared away at once
    for line in sys.stdin:
        pid = os.fork()
        if not pid:
            serve(**json.loads(line))
        print(pid, flush=True)


def serve(options: list[str], said: str, paths: dict[str, str]) -> None:
    """Become gunicorn, in a group of its own."""
    from gunicorn.app.wsgiapp import run  # noqa: PLC0415

    os.setsid()
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    file = os.open(said, os.O_WRONLY | os.O_APPEND)
    os.dup2(file, 1)
    os.dup2(file, 2)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    for name, path in paths.items():
        setattr(settings, name, Path(path))
    sys.argv = ["gunicorn", *options]
    run()


if __name__ == "__main__":
    tend()
