"""A private PostgreSQL for one test run: its own folder, a free port on loopback, stopped by its pid."""

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def binary(name: str) -> str:
    """Return the path of a PostgreSQL program, Debian's versioned folder included."""
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    return str(found[-1]) if found else shutil.which(name) or name


def as_server_user(command: list[str]) -> list[str]:
    """PostgreSQL refuses root, so a root run starts it as the packaged user."""
    return ["runuser", "-u", "postgres", "--", *command] if os.geteuid() == 0 else command


@contextmanager
def postgresql() -> Iterator[str]:
    """Start a cluster and yield its DATABASE_URL; stop it and drop its folder at the end."""
    folder = Path(tempfile.mkdtemp(prefix="ferrule-pg-"))
    if os.geteuid() == 0:
        os.chown(folder, pwd.getpwnam("postgres").pw_uid, -1)
    data = folder / "data"
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]

    def run(name: str, *arguments: str) -> None:
        subprocess.run(as_server_user([binary(name), *arguments]), check=True, stdout=subprocess.DEVNULL, cwd=folder)

    run("initdb", "-D", str(data), "-U", "ferrule", "--auth=trust", "-E", "UTF8", "--locale=C.UTF-8")
    # Durability is proved elsewhere; a throw-away cluster need not wait for the disk.
    options = f"-p {port} -k {folder} -c listen_addresses=127.0.0.1 -c fsync=off -c max_connections=100"
    try:
        run("pg_ctl", "-D", str(data), "-w", "-l", str(folder / "log"), "-o", options, "start")
        yield f"postgresql://ferrule@127.0.0.1:{port}/postgres"
    finally:
        run("pg_ctl", "-D", str(data), "-m", "fast", "stop")
        shutil.rmtree(folder, ignore_errors=True)
