"""Debian's Chromium, driven by Playwright, as the journeys and the page laws use it."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from allauth.mfa.models import Authenticator
from django.conf import settings
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from certs.management.replay import password

# The sandbox needs a user that is not root; the rest keeps the browser from calling home.
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

# How long a page may take to say what is expected, in ms: a whole suite beside it makes everything slow.
PATIENCE = 15_000
expect.set_options(timeout=PATIENCE)


@contextmanager
def chromium() -> Iterator[Browser]:
    """Start the browser, and stop it at the end."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), headless=True, args=FLAGS)
        yield browser
        browser.close()


def fresh(browser: Browser, base: str, *, width: int = 1280, height: int = 900, **options: Any) -> BrowserContext:
    """Open a context without cookies, of the width of a desk screen or a phone."""
    size = {"width": width, "height": height}
    context = browser.new_context(base_url=base, viewport=size, locale="en-GB", **options)
    context.set_default_timeout(PATIENCE)
    return context


def recovery_code(username: str) -> str:
    """Return a recovery code that was not used yet; a code of an app would be good once in half a minute only."""
    held = Authenticator.objects.get(user__username=username, type=Authenticator.Type.RECOVERY_CODES)
    return str(held.wrap().get_unused_codes()[0])


def let_in(context: BrowserContext, base: str, client: Client) -> Page:
    """Open a page with the session of a test client: for who is signed in is not what the test is about."""
    name = settings.SESSION_COOKIE_NAME
    context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": base}])
    return context.new_page()


def sign_in(context: BrowserContext, username: str) -> Page:
    """Sign in by the form, with the second step where there is one; return the page, which is then the home page."""
    page = context.new_page()
    page.goto("/")
    page.get_by_label("User name").fill(username)
    page.get_by_label("Password").fill(password(username))
    main = page.get_by_role("main")
    main.get_by_role("button", name="Sign in", exact=True).click()
    expect(main.get_by_role("heading", level=1, name="Sign in", exact=True)).to_have_count(0)
    if page.url.endswith(reverse("mfa_authenticate")):
        page.get_by_label("Code").fill(recovery_code(username))
        main.get_by_role("button", name="Sign in", exact=True).click()
        page.wait_for_url(lambda url: not url.endswith(reverse("mfa_authenticate")))
    expect(page.get_by_role("main").get_by_role("heading", level=1)).to_be_visible()
    return page
