"""Bytes of files for people: CSV (RFC 4180) and XLSX. No clock, no database."""

import csv
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import IO

from xlsxwriter import Workbook

from training.tables.rules import harmless

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
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
