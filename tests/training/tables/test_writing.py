"""The files read back with other readers: the csv module, openpyxl."""

import csv
import io
from datetime import date, datetime
from typing import Any

import pytest
from openpyxl import load_workbook

from tests.training.tables.test_rules import PAYLOADS
from training.tables import code

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
