"""Bytes of the files: CSV (RFC 4180), XLSX, and iCalendar (RFC 5545). No clock, no database."""

import csv
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import IO

from icalendar import Calendar
from icalendar import Event as Entry
from xlsxwriter import Workbook

from certs.exports.rules import Event, harmless

Value = str | int | date | None
BOM = "\ufeff"
DAY_FORMAT = {"num_format": "yyyy-mm-dd"}


class _Echo:
    """A file that hands back what is written to it, so that a line leaves as soon as it is made."""

    def write(self, line: str) -> str:
        return line


def csv_lines(heads: Sequence[str], lines: Iterable[Sequence[Value]], *, bom: bool) -> Iterator[bytes]:
    """Yield the lines of a CSV file in UTF-8, each ended by CR LF; days in ISO 8601, texts made harmless.

    A spreadsheet program needs the mark of byte order at the start to see UTF-8; other programs stumble over it.
    """
    writer = csv.writer(_Echo(), quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    yield (BOM if bom else "").encode() + writer.writerow(heads).encode()
    for line in lines:
        yield writer.writerow([_cell(value) for value in line]).encode()


def _cell(value: Value) -> str:
    if isinstance(value, date):
        return value.isoformat()
    return "" if value is None else harmless(str(value))


def xlsx(title: str, heads: Sequence[str], lines: Iterable[Sequence[Value]]) -> IO[bytes]:
    """Return a spreadsheet as an open file at its start, written line by line: texts as texts, days as days.

    A text is never a formula here, so nothing has to be put before it.
    """
    file = tempfile.TemporaryFile()  # noqa: SIM115  whoever sends it closes it
    options = {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with Workbook(file, options) as book:
        sheet, bold, day = book.add_worksheet(title[:31]), book.add_format({"bold": True}), book.add_format(DAY_FORMAT)
        for place, head in enumerate(heads):
            sheet.write_string(0, place, head, bold)
        for row, line in enumerate(lines, start=1):
            for place, value in enumerate(line):
                if isinstance(value, date):
                    sheet.write_datetime(row, place, value, day)
                elif isinstance(value, int):
                    sheet.write_number(row, place, value)
                elif value:
                    sheet.write_string(row, place, value)
        sheet.freeze_panes(1, 0)
    file.seek(0)
    return file


def calendar(name: str, events: Iterable[Event], *, at: datetime) -> bytes:
    """Return a calendar of whole days, without alarms: whoever reads it sets their own."""
    made = Calendar()
    made.add("prodid", "-//Ferrule//Days of cards//EN")
    made.add("version", "2.0")
    made.add("name", name)
    made.add("refresh-interval", timedelta(hours=12), parameters={"VALUE": "DURATION"})
    for event in events:
        entry = Entry()
        entry.add("uid", event.uid)
        entry.add("dtstamp", at)
        entry.add("dtstart", event.day)
        entry.add("dtend", event.day + timedelta(days=1))
        entry.add("summary", event.title)
        entry.add("description", event.text)
        entry.add("url", event.url)
        entry.add("transp", "TRANSPARENT")
        made.add_component(entry)
    return bytes(made.to_ical())
