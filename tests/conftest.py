"""Fixtures every test may ask for."""

import gc
import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.db import connection
from django.test import Client
from hypothesis import settings
from playwright.sync_api import Browser
from pytest_django import DjangoDbBlocker, Settings

from tests.browser import chromium
from tests.cast import Cast, assemble, show_both_factors
from tests.mailbox import Box, serving
from tests.shared import make_demo, once_a_run
from training.people.models import Person

# Playwright keeps an event loop in the test's thread, which Django takes for asynchronous code.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


# A test that takes one of these asks the database something.
ASKING = {"db", "transactional_db"}


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """End what a server that a test killed has left open, before PostgreSQL is asked to drop the database."""
    yield
    with django_db_blocker.unblock():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute(
                    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                    " WHERE datname = current_database() AND pid <> pg_backend_pid()"
                )


# What neither a browser's page nor a law of the whole tree asks of the database is asked once, on SQLite; a drill
# starts its own. Pages and prints ask by the same queries as the rest, and what asks no database leaves itself out.
ASKED_ONCE = re.compile(r"^tests/(faults|journeys|laws|outside)/|_page\w*\.py|/test_(pdf|scripts|views)\.py")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Offer the shorter run of what is whole on another database."""
    what = "leave out what tells nothing new after a run of everything on another database"
    parser.addoption("--second", action="store_true", help=what)


def is_wanted(one: pytest.Item) -> bool:
    """Say whether a test belongs into this run: on PostgreSQL only what asks a database, and not by way of a browser.

    The rest is said once, on SQLite. A browser's open lines would also keep the server from dropping the database.
    """
    if one.get_closest_marker("long") and os.environ.get("FERRULE_FAULTS") != "full":
        return False
    if not os.environ.get("DATABASE_URL", "").startswith("postgres"):
        return True
    if one.get_closest_marker("both"):
        return True
    if one.config.getoption("--second") and ASKED_ONCE.search(one.nodeid.partition("::")[0]):
        return False
    taken = set(getattr(one, "fixturenames", ()))
    return "browser" not in taken and bool(one.get_closest_marker("django_db") or ASKING & taken)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what this run does not ask."""
    wanted = [is_wanted(one) for one in items]
    config.hook.pytest_deselected(items=[one for one, is_one in zip(items, wanted, strict=True) if not is_one])
    items[:] = [one for one, is_one in zip(items, wanted, strict=True) if is_one]


def pytest_collection_finish() -> None:
    """Let the collector of garbage pass over what lives to the end: looking at it took a twelfth of the run."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 100)


@pytest.fixture
def cast(db: None) -> Cast:
    """The people of tests/cast.py, saved."""
    return assemble()


@pytest.fixture
def box(settings: Settings) -> Iterator[Box]:
    """A mail server on a free port of this machine, and the site told to use it."""
    with serving() as (kept, port):
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
        yield kept


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium, one a test process."""
    with chromium() as started:
        yield started


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Make the demo's site once a run: its data folder, to be copied before use, and what the command said."""
    return once_a_run(tmp_path_factory, "demo", make_demo)


@pytest.fixture(autouse=True)
def both_factors(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a sign-in that a test forces count as one with both factors; tests of the second factor sign in by hand."""
    force = Client.force_login

    def force_both(self: Client, user: Person, backend: str | None = None) -> None:
        force(self, user, backend)
        show_both_factors(self, user)

    monkeypatch.setattr(Client, "force_login", force_both)


# Deadlines measure the machine, not the code.
settings.register_profile("ferrule", deadline=None)
settings.load_profile("ferrule")
