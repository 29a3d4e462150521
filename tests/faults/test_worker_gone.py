"""A worker that ends by itself: the others serve on, another takes its place, and nothing kept is lost.

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
    """Each time one request gets no answer, and only that one's worker goes."""
    server = site.serve(application="tests.faults.breaking")
    try:
        with Clients(server.port, site.ground) as clients:
            clients.until_kept(5)
            first = set(server.workers())
            for _time in range(TIMES):
                assert ask(server.port, "/breaks/").status == NO_ANSWER
                clients.until_kept(5)
            assert len(set(server.workers()) - first) >= 1
    finally:
        server.kill()
    with reading(site.url) as using:
        assert lost(clients.book, using) == []
        assert faults(using) == []
    assert (clients.book.strange, clients.book.hasty) == ([], [])
