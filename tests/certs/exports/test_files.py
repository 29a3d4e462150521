"""The files read back with other readers: the csv module, openpyxl, icalendar."""

import csv
import io
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from icalendar import Calendar
from openpyxl import load_workbook

from certs.exports import code
from certs.exports.rules import Event
from tests.certs.exports.test_rules import PAYLOADS

HEADS = ("Name", "Issue", "Last day", "Confirmed to")
LAST = date(2029, 11, 24)


def as_csv(*lines: Any, bom: bool = False) -> bytes:
    return b"".join(code.csv_lines(HEADS, lines, bom=bom))


class TestCsv:
    """RFC 4180."""

    def test_ends_its_lines_with_cr_lf(self) -> None:
        """2.1 and 2.2: the last one as well."""
        made = as_csv(("Ada", 1, LAST, None))
        assert made == b'"Name","Issue","Last day","Confirmed to"\r\n"Ada","1","2029-11-24",""\r\n'

    def test_doubles_quotes_and_keeps_commas_and_line_ends(self) -> None:
        """2.6 and 2.7: the text comes back as it was."""
        text = 'Gang "1", night\r\nshift'
        (_heads, line) = csv.reader(io.StringIO(as_csv((text, 1, LAST, None)).decode(), newline=""), strict=True)
        assert line[0] == text

    def test_begins_with_the_mark_when_asked(self) -> None:
        """U+FEFF in UTF-8, once."""
        assert as_csv(("Zoë", 1, LAST, None), bom=True).startswith(b'\xef\xbb\xbf"Name"')
        assert as_csv(("Zoë", 1, LAST, None), bom=True).count(b"\xef\xbb\xbf") == 1
        assert not as_csv().startswith(b"\xef\xbb\xbf")

    @pytest.mark.parametrize("payload", PAYLOADS)
    def test_holds_no_formula(self, payload: str) -> None:
        """Read again, each cell begins with an apostrophe, and is one cell."""
        (_heads, line) = csv.reader(io.StringIO(as_csv((payload, 1, LAST, None)).decode(), newline=""), strict=True)
        assert line == [f"'{payload}", "1", "2029-11-24", ""]


class TestXlsx:
    def read(self, *lines: Any) -> Any:
        with code.xlsx("Register", HEADS, lines) as file:
            return load_workbook(io.BytesIO(file.read()))["Register"]

    @pytest.mark.parametrize("payload", PAYLOADS)
    def test_holds_texts_as_texts(self, payload: str) -> None:
        """Read by openpyxl, the cell is a string and says the same; XML turns a lone CR into LF."""
        cell = self.read((payload, 1, LAST, None))["A2"]
        assert cell.data_type == "s"
        assert cell.value.replace("_x000D_", "\r").replace("\n", "\r").strip("\r") == payload.replace("\n", "\r").strip(
            "\r"
        )

    def test_holds_days_as_days_and_numbers_as_numbers(self) -> None:
        """So that they can be sorted."""
        sheet = self.read(("Ada", 3, LAST, None))
        assert [cell.value for cell in sheet[1]] == list(HEADS)
        assert sheet["B2"].value == 3
        assert sheet["C2"].value == datetime(2029, 11, 24)
        assert sheet["C2"].is_date
        assert sheet["D2"].value is None


class TestCalendar:
    """RFC 5545, read by icalendar."""

    EVENT = Event(
        "1234@cards.example.org",
        LAST,
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
