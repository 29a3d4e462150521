"""PostgreSQL stopped under load, once with goodbye and once as if it crashed: `come again later`, and nothing is lost.

PostgreSQL's manual, "Server Start and Shutdown": fast ends the sessions, immediate leaves recovery to the next start;
"Asynchronous Commit": what COMMIT returned survives both.
"""

import time
from pathlib import Path

from pytest_django import DjangoDbBlocker

from tests.cluster import cluster
from tests.faults.clients import Clients
from tests.faults.conftest import FULL, Site, lay
from tests.faults.drill import Drill
from tests.faults.proofs import faults, lost, reading

TIMES = 5 if FULL else 1


def test_stopped_and_started_under_load(tmp_path: Path, django_db_blocker: DjangoDbBlocker) -> None:
    """Every answer meanwhile is 503 with a time to come again, never 500."""
    with cluster(durable=True) as server, django_db_blocker.unblock():
        site = Site(Drill(tmp_path, server.url), lay(tmp_path, server.url))
        served = site.serve()
        try:
            with Clients(served.port, site.ground) as clients:
                for mode in ("fast", "immediate") * TIMES:
                    clients.until_kept(6)
                    server.stop(mode)
                    turned_away = clients.book.statuses[503]
                    end = time.monotonic() + 30
                    while clients.book.statuses[503] < turned_away + 4:
                        assert time.monotonic() < end
                        time.sleep(0.05)
                    server.start()
                    clients.until_kept(6)
                    with reading(site.url) as using:
                        assert lost(clients.book, using) == []
        finally:
            served.kill()
        with reading(site.url) as using:
            assert lost(clients.book, using) == []
            assert faults(using) == []
        assert (clients.book.strange, clients.book.hasty) == ([], [])
        said = f"{clients.book.kept} kept, {clients.book.statuses[503]} told to come again, 0 lost"
        print(f"PostgreSQL stopped {2 * TIMES} times: {said}")
