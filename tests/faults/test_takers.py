"""Many people sit papers at once on two workers: no error, nothing lost, and how long the slowest waited.

50 for five minutes in full. The share is the nearest rank (NIST/SEMATECH e-Handbook 7.2.6.2 names the ways).
"""

import math
import re
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from pytest_django import DjangoDbBlocker

from tests.cluster import cluster
from tests.faults.clients import Said, ask
from tests.faults.conftest import FULL, Site, lay
from tests.faults.drill import Drill
from tests.faults.proofs import faults, reading
from tests.journeys.killable import Server
from training.quizzes.models import Answer, Sitting

PEOPLE, SECONDS = (50, 300) if FULL else (8, 10)
THINKS_S = 1.0


class Taker(threading.Thread):
    """Opens the paper, answers each place in turn, hands in nothing: until the end."""

    def __init__(self, port: int, one: dict[str, Any], until: float) -> None:
        super().__init__(daemon=True)
        self.port, self.session, self.until = port, one["session"], until
        self.took: list[float] = []
        self.statuses: Counter[int] = Counter()
        self.kept: dict[tuple[str, int], str] = {}

    def ask(self, path: str, data: bytes | None = None) -> Said:
        """Ask and note how long it took."""
        begun = time.monotonic()
        said = ask(self.port, path, session=self.session, data=data)
        self.took.append(time.monotonic() - begun)
        self.statuses[said.status] += 1
        return said

    def run(self) -> None:
        """Sit the paper."""
        opened = self.ask("/papers/bonding-theory/start/", urlencode({"agreed": "on"}).encode())
        sitting = opened.headers.get("Location", "").rstrip("/").rpartition("/")[2]
        sheet = self.ask(f"/papers/sittings/{sitting}/").body.decode()
        page = f"{self.ident:032x}"
        inputs = [tag for tag in re.findall(r"<input[^>]*>", sheet) if 'type="text"' in tag]
        typed = [found.groups() for tag in inputs if (found := re.search(r'name="(q(\d+)-\w+)"', tag))]
        turn = 0
        while time.monotonic() < self.until:
            turn += 1
            for name, place in typed:
                sent = urlencode({name: str(turn), "page": page}).encode()
                said = self.ask(f"/papers/sittings/{sitting}/keep/?only={place}", sent)
                if said.status == 200:
                    self.kept[sitting, int(place)] = str(turn)
                time.sleep(THINKS_S)


def slowest(took: list[float], share: float = 0.99) -> float:
    """Return the time within which that share of the answers came (s)."""
    return sorted(took)[math.ceil(share * len(took)) - 1]


@contextmanager
def on(database: str, site: Site, tmp_path: Path) -> Iterator[Site]:
    """Yield the site on SQLite, or one laid on a PostgreSQL of its own."""
    if database == "sqlite":
        yield site
        return
    with cluster(durable=True) as server:
        (tmp_path / "pg").mkdir()
        yield Site(Drill(tmp_path / "pg", server.url), lay(tmp_path / "pg", server.url, candidates=0))


def sit(server: Server, site: Site) -> list[Taker]:
    """Have everybody sit at once."""
    until = time.monotonic() + SECONDS
    takers = [Taker(server.port, one, until) for one in site.ground["starters"][:PEOPLE]]
    for taker in takers:
        taker.start()
    for taker in takers:
        taker.join(SECONDS + 120)
    return takers


@pytest.mark.parametrize("database", ["sqlite", "postgresql"])
def test_many_at_once(database: str, site: Site, tmp_path: Path, django_db_blocker: DjangoDbBlocker) -> None:
    """Every request is answered well, every answer acknowledged is there, every paper was opened once."""
    with on(database, site, tmp_path) as chosen, django_db_blocker.unblock():
        server = chosen.serve()
        try:
            takers = sit(server, chosen)
        finally:
            server.kill()
        statuses = sum((taker.statuses for taker in takers), Counter[int]())
        assert set(statuses) == {200, 302}, statuses
        told = {place: number for taker in takers for place, number in taker.kept.items()}
        assert len({taker for taker, _place in told}) == PEOPLE
        with reading(chosen.url) as using:
            held = {}
            for key, position, given in Answer.objects.using(using).values_list(
                "item__sitting", "item__position", "given"
            ):
                held[str(key), position] = set(given.values())
            assert [place for place, number in told.items() if number not in held[place]] == []
            opened = Sitting.objects.using(using).filter(person__username__startswith="starter")
            assert opened.count() == PEOPLE
            assert faults(using) == []
        took = [one for taker in takers for one in taker.took]
        print(f"{database}: {PEOPLE} takers, {len(took)} requests, p99 {slowest(took):.2f} s, no error")
