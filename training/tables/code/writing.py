"""Bytes of files for people: CSV (RFC 4180) and XLSX. No clock, no database."""

import csv
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import islice
from types import SimpleNamespace
from typing import IO

from xlsxwriter import Workbook

from training.tables.rules import harmless

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
Value = str | int | date | None
BOM = "\ufeff"
BATCH = 500
DAY_FORMAT = {"num_format": "yyyy-mm-dd"}


def csv_lines(heads: Sequence[str], lines: Iterable[Sequence[Value]], *, bom: bool) -> Iterator[bytes]:
    """Yield the lines of a CSV file in UTF-8, each ended by CR LF; days in ISO 8601, texts made harmless.

    A spreadsheet program needs the mark of byte order at the start to see UTF-8; other programs stumble over it.
    """
    return csv_texts(heads, map(quoted, _in_batches(lines)), bom=bom)


def csv_texts(heads: Sequence[str], texts: Iterable[Sequence[str]], *, bom: bool) -> Iterator[bytes]:
    """Yield the same of lines that are written already, as `quoted` writes them, many at once."""
    yield _ended([f"{BOM if bom else ''}{quoted([heads])[0]}"])
    # So many lines leave at once: sent one by one they would take twice as long.
    yield from map(_ended, texts)


def quoted(lines: Sequence[Sequence[Value]]) -> list[str]:
    """Return each line as a line of a CSV file, or a piece of one, without its end."""
    written: list[str] = []
    # A writer hands over one line at a time.
    file = SimpleNamespace(write=written.append)
    csv.writer(file, quoting=csv.QUOTE_ALL, lineterminator="").writerows(_harmless(lines))
    return written


def _in_batches(lines: Iterable[Sequence[Value]]) -> Iterator[list[Sequence[Value]]]:
    rest = iter(lines)
    while some := list(islice(rest, BATCH)):
        yield some


def _ended(lines: Sequence[str]) -> bytes:
    return "\r\n".join([*lines, ""]).encode()


def _harmless(lines: Sequence[Sequence[Value]]) -> Iterable[Sequence[Value]]:
    """Make the cells of some lines harmless: what stands in many of them is looked at once."""
    # A letter or digit at the start starts no formula, and most texts begin with one.
    doubtful = (value for value in set().union(*lines) if not (isinstance(value, str) and value[:1].isalnum()))
    changed = {value: said for value in doubtful if (said := harmless(_said(value))) != _said(value)}
    return [[changed.get(value, value) for value in line] for line in lines] if changed else lines


def _said(value: Value) -> str:
    """Return a value as the writer writes it, days in ISO 8601."""
    return "" if value is None else str(value)


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
