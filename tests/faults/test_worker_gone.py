"""A page that breaks its worker: whether that ends with it or answers a fault, all others serve on, nothing is lost.

In this code the fetcher of a PDF raises such a thing; `render_pdf` catches it (tests/training/printing/test_pdf.py).
"""

from weasyprint.urls import FatalURLFetchingError

from tests.faults.clients import NO_ANSWER, Clients, ask
from tests.faults.conftest import Site
from tests.faults.proofs import faults, lost, reading

TIMES = 4


def test_what_raises_one_is_no_exception() -> None:
    """The reason for all this: a handler for exceptions does not see it."""
    assert not issubclass(FatalURLFetchingError, Exception)


def test_others_serve_on(site: Site) -> None:
    """Each time it costs one request, no more: a sync worker answers a fault, one with threads may end."""
    server = site.serve(application="tests.faults.breaking")
    try:
        with Clients(server.port, site.ground) as clients:
            clients.until_kept(5)
            for _time in range(TIMES):
                assert ask(server.port, "/breaks/").status in {NO_ANSWER, 500}
                clients.until_kept(5)
            assert len(server.workers()) == 2
    finally:
        server.kill()
    with reading(site.url) as using:
        assert lost(clients.book, using) == []
        assert faults(using) == []
    assert (clients.book.strange, clients.book.hasty) == ([], [])
