"""The settings of `.deploy/postgresql.conf` tried: two application hosts, a standby, and the primary lost under load.

PostgreSQL's manual, "Synchronous Replication": COMMIT returns once the standby has it on its disk too; "Failover": the
standby is promoted, and the old primary must not come back as one.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from operator import itemgetter
from pathlib import Path
from typing import Any

import psycopg
import pytest
from pytest_django import DjangoDbBlocker

from tests.cluster import Cluster, cluster, standby
from tests.faults.clients import Book, Clients
from tests.faults.conftest import Site, lay
from tests.faults.drill import ROOT, Drill
from tests.faults.proofs import faults, lost, reading

HOSTS, ACTS = 2, 30
SETTINGS = (ROOT / ".deploy" / "postgresql.conf").read_text(encoding="utf-8")
ALONE = "synchronous_standby_names = ''"


def some_of(site: Site, which: Callable[[list[Any]], list[Any]]) -> dict[str, Any]:
    """Return some of the people of each kind; there is one decider, who decides at any host."""
    return {name: which(rows) if isinstance(rows, list) else rows for name, rows in site.ground.items()}


@contextmanager
def at_work(site: Site) -> Iterator[list[Clients]]:
    """Serve the site from several hosts, each with its own clients."""
    with ExitStack() as stack:
        several = []
        for host in range(HOSTS):
            served = site.serve()
            stack.callback(served.kill)
            share = some_of(site, itemgetter(slice(host, None, HOSTS)))
            several.append(stack.enter_context(Clients(served.port, share)))
        for clients in several:
            clients.until_kept(ACTS)
        yield several


def asked(url: str, question: str) -> list[Any]:
    """Return the first column of the answer of a server."""
    with psycopg.connect(url, autocommit=True) as connection:
        found = connection.execute(question)
        return [row[0] for row in found] if found.description else []


def gone(site: Site, books: list[Book]) -> list[str]:
    """Name whatever any of the clients was told is kept and is not there, and what is wrong beside."""
    with reading(site.url) as using:
        return [one for book in books for one in lost(book, using)] + faults(using)


@contextmanager
def pair(tmp_path: Path, settings: str) -> Iterator[tuple[Site, Cluster, Cluster]]:
    """Lay a site on a primary that has these settings; yield both with its standby."""
    with cluster(durable=True) as primary:
        site = Site(Drill(tmp_path, primary.url), lay(tmp_path, primary.url))
        with standby(primary, "ferrule_standby") as second:
            primary.settle(settings)
            primary.stop()
            primary.start()
            end = time.monotonic() + 30
            while not asked(primary.url, "SELECT 1 FROM pg_stat_replication WHERE state = 'streaming'"):
                assert time.monotonic() < end
                time.sleep(0.1)
            yield site, primary, second


@pytest.mark.long
def test_nothing_kept_goes_with_the_primary(tmp_path: Path, django_db_blocker: DjangoDbBlocker) -> None:
    """It is stopped as if it crashed and never comes back; the hosts go on with the standby, and nothing is lost."""
    with django_db_blocker.unblock(), pair(tmp_path, SETTINGS) as (site, primary, second):
        with at_work(site) as several:
            primary.stop("immediate")
        books = [clients.book for clients in several]
        # As DEVELOPERS.md says: the name is taken out until the promoted server has a standby of its own.
        second.settle(f"{SETTINGS}\n{ALONE}")
        second.run("pg_ctl", "promote", "-w")
        second.run("pg_ctl", "reload")
        after = Drill(tmp_path, second.url)
        assert gone(Site(after, site.ground), books) == []
        unused = some_of(site, lambda rows: rows[len(rows) // 2 :])
        with at_work(Site(after, unused)) as several:
            pass
        assert gone(Site(after, unused), [clients.book for clients in several]) == []
        books += [clients.book for clients in several]
        kept = sum(book.kept for book in books)
        print(f"primary lost, {kept} kept by {HOSTS} hosts before and after: 0 lost")
        assert [strange for book in books for strange in book.strange] == []


@pytest.mark.long
def test_the_drill_catches_a_standby_that_is_not_waited_for(tmp_path: Path, django_db_blocker: DjangoDbBlocker) -> None:
    """Without its name in the settings the primary says kept while the standby is away."""
    with django_db_blocker.unblock(), pair(tmp_path, f"{SETTINGS}\n{ALONE}") as (site, primary, second):
        with at_work(site) as several:
            second.stop()
            for clients in several:
                clients.until_kept(ACTS)
            primary.stop("immediate")
        second.start()
        second.run("pg_ctl", "promote", "-w")
        assert gone(Site(Drill(tmp_path, second.url), site.ground), [clients.book for clients in several])
