"""A moment is written in one way on every page, mail and print: the day first, whose clock it is last."""

import re
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings
from django.template import Context, Template
from django.utils import timezone, translation

AT = datetime(2026, 7, 2, 4, 14, tzinfo=UTC)
WROTE = Template("{% load moments %}{{ at|moment }}")
# A form of its own for a time, in a template; the ledger's page shows seconds.
OWN = re.compile(r"date:[\"'][^\"']*[GHgh]:i[^\"']*[\"']")
SECONDS = 'date:"j M Y, H:i:s"'


class TestMoment:
    @pytest.mark.parametrize(
        ("zone", "language", "wrote"),
        [
            ("UTC", "en", "2 Jul 2026, 04:14 UTC"),
            # An hour ahead in summer, six behind: the zone database.
            ("Europe/London", "en", "2 Jul 2026, 05:14 BST"),
            ("America/Regina", "en", "1 Jul 2026, 22:14 CST"),
            ("Europe/Paris", "fr", "2 Jul 2026, 06:14 CEST"),
        ],
    )
    def test_names_day_time_and_zone(self, zone: str, language: str, wrote: str) -> None:
        """The same order in every language."""
        with timezone.override(ZoneInfo(zone)), translation.override(language):
            assert WROTE.render(Context({"at": AT})) == wrote

    def test_of_none_is_nothing(self) -> None:
        """So that `default` can say what it means."""
        assert WROTE.render(Context({"at": None})) == ""

    def test_is_the_one_form_there_is(self) -> None:
        """No template has a form of its own; day and time are not joined by hand in Python either."""
        files = [one for one in (settings.BASE_DIR / "templates").rglob("*") if one.suffix in {".html", ".txt"}]
        assert {found for one in files for found in OWN.findall(one.read_text())} == {SECONDS}
        code = [one for room in ("training", "certs") for one in (settings.BASE_DIR / room).rglob("*.py")]
        assert [one for one in code if "time_format(" in one.read_text()] == []
