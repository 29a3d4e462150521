"""The board over a large register, against a bare page of the same person, and against itself over a small one."""

import csv
import gc
from collections import deque
from collections.abc import Callable
from http import HTTPStatus
from io import StringIO

import django
from django.conf import settings
from django.core.cache import cache
from django.db import connection
from django.test import Client, RequestFactory, override_settings
from django.test.client import ClientHandler
from django.utils import timezone

from tests.bench.measure import Figure, side_by_side

TIMES = 100
PAGE_GOAL, FLAT_GOAL, CSV_GOAL = 3.0, 1.15, 2.0
ROUNDS, FEW_ROUNDS = 15, 5


def over_a_register() -> tuple[Figure, ...]:
    """Measure the board of few people, then of many, in a database of its own."""
    django.setup()
    name = str(settings.DATABASES["default"]["NAME"])
    connection.creation.create_test_db(verbosity=0, autoclobber=True)
    try:
        return measured(TIMES)
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)


def measured(times: int) -> tuple[Figure, ...]:
    """Return the page against a bare one, in full and narrowed, and how it grew with so many times the register."""
    from tests.cast import assemble, show_both_factors  # noqa: PLC0415 (models may be imported only once Django is set up)
    from tests.certs.register import register  # noqa: PLC0415
    from training.people.models import Employer  # noqa: PLC0415

    cast = assemble()
    grow = register(cast)
    with override_settings(ROOT_URLCONF="tests.bench.urls"):
        client = cast.client("max")
        show_both_factors(client, cast.max)
        asking = signed_in(client)
        small = _page("board of few", asking)
        grow(times)
        _settle()
        cache.clear()
        large = _page("board", asking)
        employer = Employer.objects.get(slug="works-0").pk
        narrowed = [
            _page("board, cards that end", asking, "?within=30"),
            _page("board, suspended", asking, "?standing=suspended"),
            _page("board, an employer", asking, f"?employer={employer}"),
            _page("board, a name mistyped", asking, "?name=kowalsky"),
        ]
        grown = round(large.ratio / small.ratio, 3)
        return large, Figure("board growth", grown, FLAT_GOAL, large.value, "ms"), *narrowed, _register_as_csv()


def _settle() -> None:
    """Leave the copied rows as the server's own rounds leave them within minutes."""
    # Not within the transaction of a test.
    if connection.vendor == "postgresql" and not connection.in_atomic_block:
        with connection.cursor() as cursor:
            cursor.execute("VACUUM ANALYZE")


def _register_as_csv() -> Figure:
    """Return the file of the whole register against a bare writer of the same lines.

    It is read from the database, with the standing of each card worked out for the day; the bare writer has the lines
    in memory already, with days as days, as a model has them.
    """
    from certs.board.queries import Asked  # noqa: PLC0415
    from certs.exports import queries  # noqa: PLC0415
    from training.people.models import Person  # noqa: PLC0415
    from training.tables.code import csv_texts  # noqa: PLC0415

    everyone, on = Person.objects.all(), timezone.now().date()
    heads, asked = queries.heads(), Asked(on=on, today=on)
    lines = list(queries.register_in_cells(everyone, asked))
    # What the bare writer holds in memory is no burden of the other: it is not walked for rubbish with its own.
    gc.freeze()

    def bare() -> None:
        csv.writer(StringIO(), quoting=csv.QUOTE_ALL).writerows(lines)

    def whole() -> None:
        deque(csv_texts(heads, queries.register(everyone, asked), bom=False), maxlen=0)

    return side_by_side("register as CSV", whole, bare, goal=CSV_GOAL, rounds=FEW_ROUNDS)


def _page(name: str, asking: Callable[[str], object], query: str = "") -> Figure:
    return side_by_side(
        name, lambda: asking(f"/board/{query}"), lambda: asking("/bare/"), goal=PAGE_GOAL, rounds=ROUNDS
    )


def signed_in(client: Client) -> Callable[[str], object]:
    """Return how this person asks the site for a page: past the web server, through everything else."""
    # The handler of the test client, because it leaves the connection of a test open; without the client's own copies.
    handler, factory = ClientHandler(enforce_csrf_checks=False), RequestFactory()
    cookie = f"{settings.SESSION_COOKIE_NAME}={client.cookies[settings.SESSION_COOKIE_NAME].value}"

    def asking(address: str) -> object:
        path, _mark, query = address.partition("?")
        environ = factory._base_environ(PATH_INFO=path, QUERY_STRING=query, HTTP_COOKIE=cookie)
        answer = handler(environ)
        if answer.status_code != HTTPStatus.OK:
            raise AssertionError(address, answer.status_code)
        return answer.content

    return asking
