"""Files that somebody sends: read rightly, or refused with the reason. Written by the csv module and openpyxl."""

import csv
import io
import zipfile
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from training.tables import code
from training.tables.code import reading
from training.tables.rules import Row, Trouble, Unreadable

PEOPLE = [["Name", "Crew"], ["Zoë O'Hara", "Gang 1"], ["山田 太郎", "Gang, 2"], ["نادية", 'The "old" gang']]


def as_csv(rows: list[list[str]], encoding: str = "utf-8", **dialect: str) -> bytes:
    file = io.StringIO(newline="")
    csv.writer(file, **dialect).writerows(rows)
    return file.getvalue().encode(encoding)


def as_xlsx(rows: list[list[object]]) -> bytes:
    book, file = Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(file)
    return file.getvalue()


def cells(data: bytes) -> list[list[str]]:
    return [list(row.cells) for row in code.read(data)]


def trouble(data: bytes) -> tuple[Trouble, int]:
    with pytest.raises(Unreadable) as refused:
        code.read(data)
    return refused.value.trouble, refused.value.line


class TestCsv:
    @pytest.mark.parametrize(
        ("raw", "rows"),
        [
            (b"aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
            (b"aaa,bbb,ccc\r\nzzz,yyy,xxx", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
            (b'"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
            (b'"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"]]),
            (b'"aaa","b""bb","ccc"', [["aaa", 'b"bb', "ccc"]]),
        ],
    )
    def test_reads_the_examples_of_the_standard(self, raw: bytes, rows: list[list[str]]) -> None:
        """RFC 4180, section 2, rules 1, 2, 5, 6 and 7."""
        assert cells(raw) == rows

    @pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
    @pytest.mark.parametrize("separator", [",", ";", "\t"])
    def test_reads_what_spreadsheet_programs_write(self, encoding: str, separator: str) -> None:
        """With and without the mark of byte order, parted by the sign of the country."""
        assert cells(as_csv(PEOPLE, encoding, delimiter=separator)) == PEOPLE

    @pytest.mark.parametrize("end", ["\n", "\r", "\r\n"])
    def test_reads_every_line_end(self, end: str) -> None:
        """Lines are counted as an editor counts them, empty ones and ones inside a cell too."""
        rows = code.read(f'Name{end}{end}Ada{end}"Ben{end}Crew"{end}Cid{end}'.encode())
        assert [row.line for row in rows] == [1, 3, 4, 6]

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (as_csv(PEOPLE[:2], "cp1252"), (Trouble.ENCODING, 2)),
            ("Name\nAda\n".encode("utf-16-le"), (Trouble.NUL, 1)),
            ("Name\nAda\nŁukasz\n".encode("utf-16") + b"\0", (Trouble.ENCODING, 4)),
            (b"Name\nA\0da\n", (Trouble.NUL, 2)),
            (b'Name\n"Ada\nBen\n', (Trouble.QUOTE, 2)),
            (b'Name\nAda\n"Ben" Crew\n', (Trouble.QUOTE, 3)),
            (b"Name\n" + b"a" * 200_000, (Trouble.QUOTE, 2)),
            (b"Name\n\xed\xa0\x80\n", (Trouble.ENCODING, 2)),  # a surrogate in UTF-8: RFC 3629, section 3, forbids it
            (b"", (Trouble.EMPTY, 0)),
            (b"\xef\xbb\xbf\r\n , ,\r\n", (Trouble.EMPTY, 0)),
            (b"Name\n" + b"Ada\n" * 5_001, (Trouble.TOO_MANY_LINES, 5_002)),
            (b"Name\n" + b"a," * 60 + b"a\n", (Trouble.TOO_WIDE, 2)),
            (b"a" * 5_000_001, (Trouble.TOO_BIG, 0)),
        ],
    )
    def test_refuses_what_would_be_a_guess(self, data: bytes, says: tuple[Trouble, int]) -> None:
        """With the line, where one is to blame."""
        assert trouble(data) == says

    def test_reads_as_many_lines_as_it_promises(self) -> None:
        assert len(code.read(b"Name\n" + b"Ada\n" * 5_000)) == 5_001


class TestXlsx:
    def test_reads_what_openpyxl_writes(self) -> None:
        """Whole numbers without a point, days as ISO 8601 has them, a formula as its text and never its value."""
        assert cells(as_xlsx(PEOPLE)) == PEOPLE
        written = [[17, 17.0, 1.5, True, date(2026, 4, 3), datetime(2026, 4, 3, 6), "=1+1", None, "a"]]
        said = ["17", "17", "1.5", "True", "2026-04-03", "2026-04-03T06:00:00", "=1+1", "", "a"]
        assert cells(as_xlsx(written)) == [said]
        assert reading._said(1.7e1) == "17"  # as some programs write it: 1.7E1

    def test_counts_empty_rows(self) -> None:
        """The line is the one the spreadsheet program shows."""
        assert [row.line for row in code.read(as_xlsx([["Name"], [], [None, " "], ["Ada"]]))] == [1, 4]

    def test_reads_its_own_writing(self) -> None:
        """An empty roster and a filled one come back as they went."""
        with code.xlsx("Roster", PEOPLE[0], PEOPLE[1:]) as file:
            assert cells(file.read()) == PEOPLE

    def test_refuses_a_bomb(self) -> None:
        """21 MB of zeros packed to 20 kB: refused by what the package says, before it is unpacked."""
        file = io.BytesIO()
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as package:
            package.writestr("xl/worksheets/sheet1.xml", b"0" * 21_000_000)
        assert len(file.getvalue()) < 30_000
        assert trouble(file.getvalue()) == (Trouble.TOO_BIG, 0)

    def test_is_not_fooled_about_the_size(self) -> None:
        """A package that says less than it holds: zipfile reads no further than is said."""
        data = as_xlsx([["Name"]] + [["Ada " * 100]] * 400)
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            true = next(part for part in package.infolist() if part.filename.endswith("sheet1.xml")).file_size
        lied = data.replace(true.to_bytes(4, "little"), (10).to_bytes(4, "little"))
        assert lied != data
        assert trouble(lied) == (Trouble.DAMAGED, 0)

    def test_refuses_macros_locks_and_old_files(self) -> None:
        """Compound files begin as [MS-CFB], 2.2, says."""
        file = io.BytesIO(as_xlsx(PEOPLE))
        with zipfile.ZipFile(file, "a") as package:
            package.writestr("xl/vbaProject.bin", b"x")
        assert trouble(file.getvalue()) == (Trouble.MACROS, 0)
        assert trouble(bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 600) == (Trouble.OLD, 0)

    def test_expands_no_entities(self) -> None:
        """An entity that would read a file of the machine, and entities that grow."""
        file = io.BytesIO()
        evil = b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname"><!ENTITY b "&a;&a;">]><x>&b;</x>'
        with zipfile.ZipFile(io.BytesIO(as_xlsx(PEOPLE))) as whole, zipfile.ZipFile(file, "w") as package:
            for part in whole.infolist():
                package.writestr(part, evil if part.filename.endswith("sheet1.xml") else whole.read(part))
        try:
            found = code.read(file.getvalue())
        except Unreadable as refused:
            assert refused.trouble in (Trouble.DAMAGED, Trouble.EMPTY)
        else:
            assert found == ()

    def test_refuses_a_torn_file(self) -> None:
        data = as_xlsx(PEOPLE)
        assert trouble(data[: len(data) // 2]) == (Trouble.DAMAGED, 0)


class TestAnything:
    @given(st.binary(max_size=400))
    def test_is_read_or_refused(self, data: bytes) -> None:
        """No bytes break it; what is read is text that every database keeps."""
        for start in (b"", reading.ZIP, b"\xff\xfe", b'Name\n"'):
            try:
                rows = code.read(start + data)
            except Unreadable:
                continue
            "".join(cell for row in rows for cell in row.cells).encode()

    @given(st.lists(st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")), min_size=1)))
    def test_comes_back_as_written(self, rows: list[list[str]]) -> None:
        """The csv module as an independent writer: any text, whatever is in it."""
        head = ["Name", *"bcdefghij"]
        tidy = [row[:10] for row in rows]
        wanted = [row for row in ([*one] for one in tidy) if any(cell.strip() for cell in row)]
        found = code.read(as_csv([head, *tidy]))
        assert found[0] == Row(1, tuple(head))
        assert [row.cells for row in found[1:]] == [reading._trimmed(tuple(row)) for row in wanted]
