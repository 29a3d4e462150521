"""kill -9 of the server and its workers while clients post without pause: nothing acknowledged is lost or twice.

The promise is that of a transaction (Gray and Reuter, Transaction Processing, 1993: atomic and durable); the method,
killing at random moments and looking every acknowledged key up, is that of SQLite's own crash tests (sqlite.org,
"How SQLite Is Tested", 4).
"""

import random
import time
from collections.abc import Callable

from tests.faults.clients import Clients
from tests.faults.conftest import FULL, Site
from tests.faults.proofs import faults, lost, reading

ROUNDS, ROUNDS_A_SITE = (300, 25) if FULL else (5, 5)
LONGEST = 0.8


def rounds(site: Site, many: int, chance: random.Random) -> Clients:
    """Kill so many times, the workers and the whole server in turn; look everything up after each."""
    server = site.serve()
    try:
        with Clients(server.port, site.ground) as clients:
            for number in range(many):
                clients.until_kept(3)
                time.sleep(chance.uniform(0, LONGEST))
                if number % 2:
                    server.kill_workers()
                else:
                    server.kill()
                    server.start()
                with reading(site.url) as using:
                    assert lost(clients.book, using) == []
            clients.until_kept(3)
    finally:
        server.kill()
    return clients


def test_nothing_kept_is_lost_or_twice(new_site: Callable[..., Site]) -> None:
    """Answers, sheets, signatures, decisions, and the cards that go with either, 300 rounds in full."""
    chance = random.Random(300)
    for part in range(1, ROUNDS // ROUNDS_A_SITE + 1):
        site = new_site()
        book = rounds(site, ROUNDS_A_SITE, chance).book
        with reading(site.url) as using:
            assert lost(book, using) == []
            assert faults(using) == []
        assert (book.strange, book.hasty) == ([], [])
        assert set(book.told) == {"answer", "sheet", "signature", "decision"}
        again = book.statuses[200] - book.told["answer"]
        said = f"kept {dict(book.told)}, {again} sheets sent again were kept already, 0 lost, 0 twice"
        print(f"kills {ROUNDS_A_SITE * part} of {ROUNDS}: {said}", flush=True)
