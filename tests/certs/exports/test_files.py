"""The files read back with another reader: icalendar."""

from datetime import UTC, date, datetime, timedelta

from icalendar import Calendar

from certs.exports import code
from certs.exports.rules import Event


class TestCalendar:
    """RFC 5545, read by icalendar."""

    EVENT = Event(
        "1234@cards.example.org",
        date(2029, 11, 24),
        "Last day, card; Zoë\nO'Hara" + "é" * 90,
        "Text",
        "https://cards.example.org/cards/x/",
    )

    def test_holds_whole_days(self) -> None:
        """DTSTART is the day, DTEND the day after (3.6.1: not included)."""
        raw = code.calendar("Cards", [self.EVENT], at=datetime(2026, 11, 25, 9, tzinfo=UTC))
        assert b"DTSTART;VALUE=DATE:20291124\r\n" in raw
        assert b"DTEND;VALUE=DATE:20291125\r\n" in raw
        assert b"VALARM" not in raw
        (entry,) = Calendar.from_ical(raw).walk("VEVENT")
        assert entry["UID"] == "1234@cards.example.org"
        assert entry.decoded("DTEND") - entry.decoded("DTSTART") == timedelta(days=1)
        assert entry["SUMMARY"] == self.EVENT.title
        assert entry.decoded("DTSTAMP") == datetime(2026, 11, 25, 9, tzinfo=UTC)

    def test_folds_long_lines(self) -> None:
        """3.1: no line is longer than 75 octets, each ends with CR LF."""
        raw = code.calendar("Cards", [self.EVENT], at=datetime(2026, 11, 25, 9, tzinfo=UTC))
        assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
        assert raw.endswith(b"END:VCALENDAR\r\n")

    def test_may_be_empty(self) -> None:
        """A person without a card has a feed as well."""
        raw = code.calendar("Cards", [], at=datetime(2026, 11, 25, 9, tzinfo=UTC))
        assert Calendar.from_ical(raw).walk("VEVENT") == []
