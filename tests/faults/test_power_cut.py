"""The power goes off a second after `kept`: killed processes do not tell, since the kernel still writes for them.

SQLite's manual: with a write-ahead log, synchronous=NORMAL is consistent but not durable, FULL is both (sqlite.org,
"PRAGMA synchronous"). The twin that must fail holds the simulation to that.
"""

import os
import random
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.clients import Clients
from tests.faults.conftest import FULL, Site
from tests.faults.power import Disk, compiled, compiler
from tests.faults.proofs import faults, lost, reading

ROUNDS, ROUNDS_A_SITE = (60, 12) if FULL else (3, 3)
LONGEST = 0.8


@pytest.fixture
def shim(tmp_path: Path) -> Path | None:
    """Compile the shim; None, said aloud, on a machine without a compiler: `manage.py test` brings one."""
    if compiler() is None:
        assert os.environ.get("CI") != "true", "no C compiler: install gcc and libc6-dev"
        print("The power cut was not tried: this machine has no C compiler (gcc, libc6-dev).")
        return None
    return compiled(tmp_path)


def cuts(site: Site, disk: Disk, many: int, chance: random.Random) -> tuple[Clients, list[list[str]]]:
    """Cut the power so many times under load; return the clients and what was lost at each cut."""
    disk.settle()
    found = []
    server = site.serve(**disk.environment)
    try:
        with Clients(server.port, site.ground) as clients:
            for _number in range(many):
                clients.until_kept(6)
                time.sleep(chance.uniform(0, LONGEST))
                server.kill()
                disk.cut()
                with reading(site.url) as using:
                    found.append(lost(clients.book, using) + faults(using))
                disk.settle()
                server.start()
    finally:
        server.kill()
    return clients, found


def test_nothing_kept_is_lost(new_site: Callable[..., Site], shim: Path | None, tmp_path: Path) -> None:
    """60 cuts in full, under the real settings."""
    if shim is None:
        return
    chance = random.Random(60)
    for part in range(1, ROUNDS // ROUNDS_A_SITE + 1):
        site = new_site()
        clients, found = cuts(site, Disk(site.file, tmp_path / f"shadow{part}", shim), ROUNDS_A_SITE, chance)
        assert found == [[]] * ROUNDS_A_SITE
        assert clients.book.strange == []
        said = f"{clients.book.kept} kept, 0 lost"
        print(f"power cuts with synchronous=FULL {ROUNDS_A_SITE * part} of {ROUNDS}: {said}", flush=True)


def test_the_cut_catches_a_database_that_does_not_wait(
    new_site: Callable[..., Site], shim: Path | None, tmp_path: Path
) -> None:
    """Must fail: with synchronous=NORMAL the same cut loses what was acknowledged."""
    if shim is None:
        return
    site = new_site(settings="tests.faults.careless")
    clients, found = cuts(site, Disk(site.file, tmp_path / "shadow", shim), 1, random.Random(1))
    assert found[0]
    print(f"1 power cut with synchronous=NORMAL, {clients.book.kept} kept, {len(found[0])} lost")
