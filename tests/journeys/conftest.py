"""The served company of the journeys."""

from collections.abc import Iterator

import pytest
from django.utils import timezone
from playwright.sync_api import Browser
from pytest_django.live_server_helper import LiveServer

from tests import company as demo
from tests.journeys.walk import Site
from tests.keys import make_keys


@pytest.fixture
def site(live_server: LiveServer, browser: Browser, capsys: pytest.CaptureFixture[str]) -> Iterator[Site]:
    """The people of the demo before they have done anything, and the key that signs cards."""
    company = demo.settle(timezone.now())
    make_keys()
    yield Site(company, live_server.url, browser)
    for context in browser.contexts:
        context.close()
