"""Jobs from a file: read rightly, or refused with every line named. Written by the csv module and openpyxl."""

import csv
import io
from collections.abc import Iterator
from datetime import date

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from certs.jobs.forms import read_list
from certs.jobs.models import Job
from certs.jobs.rules import lists
from certs.schemes.models import SchemeIssue
from tests.cast import AT, ON, Cast
from tests.certs.factory import scheme_issue
from tests.certs.jobs.conftest import Make
from training.tables.rules import Unreadable

SLUG = "rail"


@pytest.fixture(autouse=True)
def today() -> Iterator[None]:
    with time_machine.travel(AT, tick=False):
        yield


@pytest.fixture
def issue(cast: Cast) -> SchemeIssue:
    return scheme_issue(slug=SLUG)


def heads(*more: str) -> list[str]:
    return ["Reference", "Place", "First day", "Last_day", "BONDS", SLUG, *more]


GOOD = ["N-1", "Down line", "2026-11-30", "2026-12-02", "90", "2"]


def as_csv(*rows: list[str], encoding: str = "utf-8", **dialect: str) -> bytes:
    file = io.StringIO(newline="")
    csv.writer(file, **dialect).writerows(rows)
    return file.getvalue().encode(encoding)


def send(cast: Cast, data: bytes, who: str = "sol", **more: object) -> HttpResponse:
    return cast.client(who).post("/jobs/list/", {"file": SimpleUploadedFile("jobs.csv", data), **more})


def apply(cast: Cast, page: HttpResponse, who: str = "sol", **more: object) -> HttpResponse:
    sent = {"text": page.context["found"].text, **more}
    return cast.client(who).post("/jobs/list/all/", sent, follow=True)


def wrongs(page: HttpResponse) -> list[tuple[int, str]]:
    return [(one.line, one.column) for one in page.context["found"].wrongs]


class TestReading:
    @pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
    @pytest.mark.parametrize("separator", [",", ";", "\t"])
    def test_brings_in_what_it_showed(self, cast: Cast, issue: SchemeIssue, encoding: str, separator: str) -> None:
        """Looked over first, nothing kept; then all of it."""
        more = ["yes", "gang 1", "x", "no", "Y"]
        rows = [heads("each day", "crew", "cold", "night", "supervisor"), [*GOOD, *more], ["Ñ-2", *GOOD[1:]]]
        page = send(cast, as_csv(*rows, encoding=encoding, delimiter=separator))
        assert page.context["found"].wrongs == ()
        shown = page.content.decode()
        assert f">2 × {SLUG}, supervisor<" in shown
        assert (">Gang 1<" in shown, ">any<" in shown) == (True, True)
        assert (">cold<" in shown, ">none named<" in shown) == (True, True)
        assert not Job.objects.exists()
        assert "2 jobs are brought in." in apply(cast, page).content.decode()
        job = Job.objects.get(reference="N-1")
        assert (job.first_on, job.last_on, job.bonds) == (date(2026, 11, 30), date(2026, 12, 2), 90)
        assert (job.each_day, job.crew, job.cold, job.night, job.cover) == (True, cast.crew, True, False, True)
        assert job.wants.get().holders == 2
        assert Job.objects.filter(reference="Ñ-2", each_day=False, crew=None).exists()

    def test_shows_one_day_as_one(self, cast: Cast, issue: SchemeIssue) -> None:
        """And more days as a first and a last."""
        one = ["N-2", "Yard", "2026-12-04", "2026-12-04", *GOOD[4:]]
        page = send(cast, as_csv(heads(), GOOD, one)).content.decode()
        assert ">30 Nov 2026 to 2 Dec 2026<" in page
        assert ">4 Dec 2026<" in page

    def test_reads_a_spreadsheet(self, cast: Cast, issue: SchemeIssue) -> None:
        """Days and numbers as a spreadsheet has them."""
        book, file = Workbook(), io.BytesIO()
        book.active.append(heads("cold"))
        book.active.append(["N-1", "Yard", date(2026, 11, 30), date(2026, 12, 2), 90, 2.0, True])
        book.save(file)
        page = send(cast, file.getvalue())
        assert page.context["found"].wrongs == ()
        apply(cast, page)
        assert Job.objects.get().cold

    def test_keeps_formulas_as_texts(self, cast: Cast, issue: SchemeIssue) -> None:
        """OWASP ASVS 5.0, 1.2.10: a text is a text; the apostrophe of an export is taken back."""
        rows = [heads(), ["=1+1", *GOOD[1:]], ["'@x", *GOOD[1:]], ["+44", *GOOD[1:]]]
        apply(cast, send(cast, as_csv(*rows)))
        assert set(Job.objects.values_list("reference", flat=True)) == {"=1+1", "@x", "+44"}


class TestRefusing:
    def test_takes_the_file_that_its_page_shows(self, cast: Cast, issue: SchemeIssue) -> None:
        """The lines to copy and change are brought in as they stand."""
        page = cast.client("sol").get("/jobs/list/")
        lines = page.context["example"]
        assert lines[1] in page.content.decode()
        found = read_list("\n".join(lines).encode(), employer=cast.northmoor, issues=[issue], on=ON)
        assert (found.wrongs, [job.reference for job in found.jobs]) == ((), ["A-1", "A-2"])

    def test_names_every_wrong_line(self, cast: Cast, issue: SchemeIssue, make: Make) -> None:
        """Each with its column and what to do, and nothing is brought in."""
        make(reference="OLD")
        rows = [
            heads("crew", "cold"),
            [*GOOD, "", ""],
            ["", "x", "30.11.2026", "2026-12-02", "0", "", "Nobody", "perhaps"],
            ["N-1", *GOOD[1:], "", ""],
            ["OLD", *GOOD[1:], "", "", "too", "many"],
            ["N-5", "Yard", "2026-12-02", "2026-11-30", "9", "1", "", ""],
        ]
        page = send(cast, as_csv(*rows))
        assert sorted(wrongs(page)) == [
            (3, ""), (3, "bonds"), (3, "cold"), (3, "crew"), (3, "first day"), (3, "reference"),
            (4, "reference"), (5, ""), (5, "reference"), (6, "last day"),
        ]  # fmt: skip
        text = page.content.decode()
        assert "Line 2 has the same reference." in text
        assert "There is no crew “Nobody” at this employer." in text
        assert "Error:" in text
        assert Job.objects.count() == 1
        apply(cast, page)
        assert Job.objects.count() == 1

    def test_names_heads(self, cast: Cast, issue: SchemeIssue) -> None:
        page = send(cast, as_csv(["Reference", "place", "PLACE", "size"], ["a", "b", "c", "d"]))
        assert wrongs(page) == [(1, "first day"), (1, "last day"), (1, "bonds"), (1, "size"), (1, "place")]
        page = send(cast, as_csv(heads()))
        assert wrongs(page) == [(1, "")]
        page = send(cast, as_csv(heads(), *[[f"N-{n}", *GOOD[1:]] for n in range(201)]))
        assert wrongs(page) == [(202, "")]

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (as_csv(["Réf"], encoding="cp1252"), "the file is not in UTF-8"),
            (b"Reference\nA\0b\n", "holds bytes that are no letters"),
            (b"Reference\n\xed\xa0\x80\n", "the file is not in UTF-8"),  # RFC 3629, section 3: no surrogates
            (b"\n\n", "a line of heads and a line for each job"),
            (b"a" * 200_001, "Keep it below 200 kB"),
            (b"", "a line of heads and a line for each job"),
        ],
    )
    def test_says_why_a_file_is_none(self, cast: Cast, issue: SchemeIssue, data: bytes, says: str) -> None:
        assert says in send(cast, data).content.decode()

    def test_applies_nothing_that_has_gone_wrong_since(self, cast: Cast, issue: SchemeIssue, make: Make) -> None:
        """Somebody keeps a job of that reference between the look and the button."""
        page = send(cast, as_csv(heads(), ["N-0", *GOOD[1:]], GOOD))
        make(reference="N-1")
        assert "on the list already" in apply(cast, page).content.decode()
        assert Job.objects.count() == 1

    def test_asks_an_administrator_whose_they_are(self, cast: Cast, issue: SchemeIssue) -> None:
        data = as_csv(heads(), GOOD)
        assert "Choose an employer." in send(cast, data, who="max").content.decode()
        page = send(cast, data, who="max", employer=cast.northmoor.pk)
        apply(cast, page, who="max", employer=cast.northmoor.pk)
        assert Job.objects.get().employer == cast.northmoor


class TestAnything:
    @settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
    @given(raw=st.binary(max_size=300), cells=st.lists(st.text(max_size=8), max_size=9))
    def test_is_read_or_refused(self, cast: Cast, issue: SchemeIssue, raw: bytes, cells: list[str]) -> None:
        """No bytes and no text, NUL and surrogates among it, break the reading; what is wrong has a line."""
        row = ",".join(f'"{cell}"' for cell in cells).encode("utf-8", "surrogatepass")
        good = as_csv(heads("crew", "cold"))
        for data in (raw, good + raw, good + row):
            try:
                found = read_list(data, employer=cast.northmoor, issues=[issue], on=ON)
            except Unreadable:
                continue
            assert found.wrongs or found.jobs
            assert all(one.line >= 1 and one.says for one in found.wrongs)

    @given(st.text())
    def test_yes_or_no(self, text: str) -> None:
        """Any text is yes, no, or neither."""
        assert lists.yes(text) in {True, False, None}

    def test_words(self) -> None:
        assert [lists.yes(word) for word in ("Yes", "x", "", "NO", "0", "2")] == [True, True, False, False, False, None]
