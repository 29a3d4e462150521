"""A private PostgreSQL for one test run: its own folder, a free port on loopback, stopped by its pid."""

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path


def binary(name: str) -> str:
    """Return the path of a PostgreSQL program, Debian's versioned folder included."""
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    return str(found[-1]) if found else shutil.which(name) or name


def as_server_user(command: list[str]) -> list[str]:
    """PostgreSQL refuses root, so a root run starts it as the packaged user."""
    return ["runuser", "-u", "postgres", "--", *command] if os.geteuid() == 0 else command


@dataclass(frozen=True)
class Cluster:
    """A server on a free port, in its own folder."""

    folder: Path
    port: int
    # Durability is proved elsewhere; a throw-away cluster need not wait for the disk.
    durable: bool = False

    @property
    def url(self) -> str:
        """Return its DATABASE_URL."""
        return f"postgresql://ferrule@127.0.0.1:{self.port}/postgres"

    def settle(self, settings: str) -> None:
        """Add settings to its file; they count from its next start."""
        with (self.folder / "data" / "postgresql.conf").open("a", encoding="utf-8") as file:
            file.write(f"\n{settings}\n")

    def run(self, name: str, *arguments: str) -> None:
        """Run one of PostgreSQL's programs on the folder of the data."""
        command = as_server_user([binary(name), "-D", str(self.folder / "data"), *arguments])
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=self.folder)

    def start(self) -> None:
        """Start it and wait until it serves."""
        fsync = "on" if self.durable else "off"
        options = (
            f"-p {self.port} -k {self.folder} -c listen_addresses=127.0.0.1 -c fsync={fsync} -c max_connections=100"
        )
        self.run("pg_ctl", "-w", "-l", str(self.folder / "log"), "-o", options, "start")

    def stop(self, mode: str = "fast") -> None:
        """Stop it: `fast` says goodbye to its clients, `immediate` is as good as a crash."""
        self.run("pg_ctl", "-m", mode, "stop")


def _place(*, durable: bool) -> Cluster:
    """Make a folder for the server's user, and find a free port."""
    folder = Path(tempfile.mkdtemp(prefix="ferrule-pg-"))
    if os.geteuid() == 0:
        os.chown(folder, pwd.getpwnam("postgres").pw_uid, -1)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return Cluster(folder, probe.getsockname()[1], durable)


@contextmanager
def _dropped(made: Cluster) -> Iterator[Cluster]:
    try:
        yield made
    finally:
        if (made.folder / "data" / "postmaster.pid").exists():
            made.stop()
        shutil.rmtree(made.folder, ignore_errors=True)


@contextmanager
def cluster(*, durable: bool = False) -> Iterator[Cluster]:
    """Make a cluster, start it, yield it; stop it and drop its folder at the end."""
    with _dropped(_place(durable=durable)) as made:
        made.run("initdb", "-U", "ferrule", "--auth=trust", "-E", "UTF8", "--locale=C.UTF-8")
        made.start()
        yield made


@contextmanager
def standby(of: Cluster, name: str) -> Iterator[Cluster]:
    """Make a standby of a cluster that runs, start it, yield it; it follows under this name."""
    with _dropped(_place(durable=of.durable)) as made:
        primary = f"host=127.0.0.1 port={of.port} user=ferrule application_name={name}"
        made.run("pg_basebackup", "-d", primary, "--write-recovery-conf", "--checkpoint=fast")
        made.start()
        yield made


@contextmanager
def postgresql() -> Iterator[str]:
    """Start a cluster for one test run and yield its DATABASE_URL."""
    with cluster() as made:
        yield made.url
