"""Rows of a CSV or XLSX file that somebody sends. Nothing in it is run, fetched or followed."""

import codecs
import csv
import io
import re
import warnings
import zipfile
from collections.abc import Iterator
from datetime import datetime, time
from typing import Any

from openpyxl import load_workbook

from training.tables.rules import Row, Trouble, Unreadable

MOST_BYTES = 5_000_000
# A spreadsheet is a zip file: 200 kB of it can unpack to gigabytes.
MOST_UNPACKED = 20_000_000
MOST_LINES = 5_000
MOST_COLUMNS = 60

ZIP = b"PK\x03\x04"
# Spreadsheets of before 2007, and new ones locked by a password (Microsoft's [MS-CFB], 2.2).
COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1")
UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
SEPARATORS = ",;\t"
MIDNIGHT = time()


def read(data: bytes) -> tuple[Row, ...]:
    """Return the rows that hold anything, the first of them the heads. Raises Unreadable.

    What kind of file it is, its first bytes say: the name of a file says nothing certain.
    """
    if len(data) > MOST_BYTES:
        raise Unreadable(Trouble.TOO_BIG)
    if data.startswith(COMPOUND):
        raise Unreadable(Trouble.OLD)
    found: list[Row] = []
    for row in _sheet(data) if data.startswith(ZIP) else _text(data):
        cells = _trimmed(row.cells)
        if not cells:
            continue
        if len(found) > MOST_LINES:
            raise Unreadable(Trouble.TOO_MANY_LINES, line=row.line)
        if len(cells) > MOST_COLUMNS:
            raise Unreadable(Trouble.TOO_WIDE, line=row.line)
        found.append(Row(row.line, cells))
    if not found:
        raise Unreadable(Trouble.EMPTY)
    return tuple(found)


def _trimmed(cells: tuple[str, ...]) -> tuple[str, ...]:
    """Return the cells up to the last with anything in it."""
    filled = [place for place, cell in enumerate(cells, start=1) if cell.strip()]
    return cells[: filled[-1]] if filled else ()


def _text(data: bytes) -> Iterator[Row]:
    text = _decoded(data)
    separator = _separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    line = 1
    try:
        for cells in reader:
            yield Row(line, tuple(cells))
            # A cell with a line end in it makes a row of several lines.
            line = reader.line_num + 1
    except csv.Error as fault:
        raise Unreadable(Trouble.QUOTE, line=line) from fault


def _decoded(data: bytes) -> str:
    """Return the text of UTF-8, or of UTF-16 with its mark: any other encoding would be a guess."""
    encoding = "utf-16" if data.startswith(UTF_16) else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as fault:
        before = data[: fault.start].decode(encoding, "ignore")
        raise Unreadable(Trouble.ENCODING, line=before.count("\n") + 1) from fault
    if "\0" in text:
        raise Unreadable(Trouble.NUL, line=text.count("\n", 0, text.index("\0")) + 1)
    return text


def _separator(text: str) -> str:
    """Return the sign that parts the heads: a spreadsheet program writes the one of its country."""
    heads = re.sub(r'"[^"]*"', "", re.split(r"[\r\n]", text.lstrip("\r\n"), maxsplit=1)[0])
    return max(SEPARATORS, key=heads.count)


def _sheet(data: bytes) -> Iterator[Row]:
    """Read the first sheet, after a look at what is packed."""
    try:
        _check_package(data)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about styles and the like, which are not read
            yield from _rows(data)
    except Unreadable:
        raise
    # A damaged package fails in many ways, in zipfile, in XML and in openpyxl; each means the same to the sender.
    except Exception as fault:
        raise Unreadable(Trouble.DAMAGED) from fault


def _check_package(data: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        parts = package.infolist()
        # No part can be longer than is said here: zipfile stops there, and its checksum is then wrong.
        if sum(part.file_size for part in parts) > MOST_UNPACKED:
            raise Unreadable(Trouble.TOO_BIG)
        if any(part.filename.lower().endswith("vbaproject.bin") for part in parts):
            raise Unreadable(Trouble.MACROS)


def _rows(data: bytes) -> Iterator[Row]:
    book = load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
    try:
        sheet = book.worksheets[0]
        sheet.reset_dimensions()  # what the file says of its size may be wrong
        for line, cells in enumerate(sheet.iter_rows(values_only=True), start=1):
            yield Row(line, tuple(_said(value) for value in cells))
    finally:
        book.close()


def _said(value: Any) -> str:
    """Return what a cell says: a whole number without a point, a day as ISO 8601 has it, a formula as its text."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        return (value.date() if value.time() == MIDNIGHT else value).isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
