"""What a browser says of itself, in plain words.

The texts are the examples of MDN Web Docs' page on the User-Agent header (from memory); the order of products, the most
telling first, is RFC 9110, 10.1.5, which browsers break by naming those they descend from.
"""

import pytest
from django.core.cache import cache
from django.test import Client

from tests.cast import PASSWORD, Cast
from tests.training.reply import page
from training.config.agents import browser_and_system

KIT = "AppleWebKit/537.36 (KHTML, like Gecko)"
TOLD = [
    ("Mozilla/5.0 (Windows NT 10.0; Win64; x64; rv:47.0) Gecko/20100101 Firefox/47.0", "Firefox", "Windows"),
    ("Mozilla/5.0 (Macintosh; Intel Mac OS X x.y; rv:42.0) Gecko/20100101 Firefox/42.0", "Firefox", "macOS"),
    (f"Mozilla/5.0 (X11; Linux x86_64) {KIT} Chrome/51.0.2704.103 Safari/537.36", "Chrome", "Linux"),
    (f"Mozilla/5.0 (X11; Linux x86_64) {KIT} Chrome/51.0.2704.106 Safari/537.36 OPR/38.0.2220.41", "Opera", "Linux"),
    (
        f"Mozilla/5.0 (Windows NT 10.0; Win64; x64) {KIT} Chrome/91.0.4472.124 Safari/537.36 Edg/91.0.864.59",
        "Edge",
        "Windows",
    ),
    (
        "Mozilla/5.0 (iPhone; CPU iPhone OS 13_5_1 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) "
        "Version/13.1.1 Mobile/15E148 Safari/604.1",
        "Safari",
        "iPhone",
    ),
    (f"Mozilla/5.0 (Linux; Android 10; K) {KIT} Chrome/124.0.0.0 Mobile Safari/537.36", "Chrome", "Android"),
    (f"Mozilla/5.0 (X11; CrOS x86_64 14541.0.0) {KIT} Chrome/124.0.0.0 Safari/537.36", "Chrome", "ChromeOS"),
    ("curl/7.64.1", "", ""),
    ("PostmanRuntime/7.26.5", "", ""),
    ("My Firefox on Windows", "", ""),
    ("", "", ""),
]


@pytest.mark.parametrize(("text", "browser", "system"), TOLD)
def test_is_read_and_never_guessed(text: str, browser: str, system: str) -> None:
    assert browser_and_system(text) == (browser, system)


@pytest.mark.django_db
class TestOwnSessions:
    def test_are_told_apart_by_browser_and_hold_no_raw_text(self, cast: Cast) -> None:
        cache.clear()
        for text in (TOLD[5][0], TOLD[8][0]):
            client = Client(headers={"user-agent": text})
            client.post("/account/login/", {"login": "ada", "password": PASSWORD})
        body = page(client.get("/account/sessions/"))
        assert "<h2>Safari on iPhone</h2>" in body
        assert "<h2>A browser that does not say which</h2>" in body
        assert "Mozilla" not in body
