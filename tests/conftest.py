"""Fixtures every test may ask for."""

import os
from collections.abc import Iterator

import pytest
from django.test import Client
from hypothesis import settings
from playwright.sync_api import Browser
from pytest_django import Settings

from tests.browser import chromium
from tests.cast import Cast, assemble, show_both_factors
from tests.mailbox import Box, serving
from training.people.models import Person

# Playwright keeps an event loop in the test's thread, which Django takes for asynchronous code.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


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
