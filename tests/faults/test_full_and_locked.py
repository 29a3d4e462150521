"""A database that is full, or locked by somebody else: `come again later`, never a fault, and nothing kept is lost."""

import json
import os
import resource
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest

from tests.faults.clients import RECORD, Clients, Said, ask, sheet_of
from tests.faults.conftest import Site
from tests.faults.proofs import faults, lost, reading
from tests.journeys.killable import Server
from training.config.settings import database

PATIENCE = 30


def health(server: Server) -> tuple[int, str]:
    """Ask how the site does: the status, and what it says of the database."""
    said = ask(server.port, "/health/")
    return said.status, json.loads(said.body)["database"]


def seen(what: Callable[[], bool]) -> None:
    """Wait until something shows: a probe is kept every ten seconds only."""
    end = time.monotonic() + PATIENCE
    while not what():
        assert time.monotonic() < end
        time.sleep(0.2)


def full_and_back(site: Site, server: Server, fill: Callable[[], None], make_room: Callable[[], None]) -> None:
    """Fill the disk under load and make room again; hold every answer to what was kept."""
    with Clients(server.port, site.ground) as clients:
        clients.until_kept(8)
        assert clients.book.statuses[503] == 0
        fill()
        seen(lambda: clients.book.statuses[503] > 8)
        seen(lambda: health(server) == (503, "look"))
        turned_away = clients.book.statuses[503]
        make_room()
        clients.until_kept(8)
        seen(lambda: health(server)[1] == "good")
    with reading(site.url) as using:
        assert lost(clients.book, using) == []
        assert faults(using) == []
    assert (clients.book.strange, clients.book.hasty) == ([], [])
    print(f"disk full: {clients.book.kept} kept, {turned_away} told to come again, 0 lost")


def test_a_file_that_may_not_grow(site: Site) -> None:
    """A limit on the size of files (setrlimit(2), RLIMIT_FSIZE) stands for a full disk where nobody may mount one."""
    server = site.serve()

    def limit(most: int) -> None:
        for pid in [server.process.pid, *server.workers()]:
            resource.prlimit(pid, resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))

    try:
        assert health(server)[1] == "good"
        full_and_back(site, server, lambda: limit(4096), lambda: limit(resource.RLIM_INFINITY))
    finally:
        server.kill()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path | None]:
    """Mount a disk of a few megabytes in memory; None where that is not allowed, and the limit above stands alone."""
    folder = tmp_path / "disk"
    folder.mkdir()
    options = ["mount", "-t", "tmpfs", "-o", "size=12m", "tmpfs", str(folder)]
    if os.geteuid() != 0 or subprocess.run(options, check=False, capture_output=True).returncode:
        print("A full disk was tried by a limit only: mounting a small one takes root.")
        yield None
        return
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_disk_without_room(new_site: Callable[..., Site], small_disk: Path | None) -> None:
    """A real full disk: ENOSPC, whatever file grows."""
    if small_disk is None:
        return
    site = new_site(small_disk)
    ballast = small_disk / "ballast"

    def fill() -> None:
        try:
            with ballast.open("wb", buffering=0) as heap:
                while True:
                    heap.write(bytes(4096))
        except OSError:
            pass

    server = site.serve()
    try:
        full_and_back(site, server, fill, ballast.unlink)
    finally:
        server.kill()


def test_a_lock_is_waited_out_or_told(site: Site) -> None:
    """A short lock nobody notices; a long one is `come again later`, and the same key is taken afterwards, once.

    How long is waited is the `timeout` of the settings, which SQLite calls its busy timeout.
    """
    server, one = site.serve(), site.ground["assessors"][0]
    short, long = (sheet_of(candidate) for candidate in site.ground["candidates"][:2])
    patience = database(str(site.file))["OPTIONS"]["timeout"]  # type: ignore[index]

    def send(sheet: dict[str, str]) -> tuple[Said, float]:
        raw = json.dumps({"made_by": one["person"], "phone_time": sheet["phone_time"], "fields": sheet}).encode()
        path, began = f"/signoffs/received/{sheet['key']}/", time.monotonic()
        return ask(server.port, path, session=one["session"], data=raw, kind=RECORD), time.monotonic() - began

    def rows(other: sqlite3.Connection) -> list[int]:
        tables = "certs_receivedsheet", "training_entry"
        return [other.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in tables]  # noqa: S608

    try:
        with closing(sqlite3.connect(site.file, isolation_level=None)) as other, ThreadPoolExecutor(1) as phone:
            other.execute("BEGIN IMMEDIATE")
            sent = phone.submit(send, short)
            time.sleep(0.8)
            assert not sent.done()
            other.execute("ROLLBACK")
            said, took = sent.result()
            assert (said.status, 0.7 < took < patience) == (201, True)
            other.execute("BEGIN IMMEDIATE")
            before, sent = rows(other), phone.submit(send, long)
            # Reading goes on beside it.
            assert ask(server.port, "/check/").status == 200
            assert ask(server.port, "/signoffs/", session=one["session"]).status == 200
            said, took = sent.result()
            assert (said.status, int(said.headers["Retry-After"]) > 0, took >= patience) == (503, True, True)
            assert rows(other) == before
            other.execute("ROLLBACK")
        assert [send(sheet)[0].status for sheet in (long, long, short)] == [201, 200, 200]
    finally:
        server.kill()
    with reading(site.url) as using:
        assert faults(using) == []
