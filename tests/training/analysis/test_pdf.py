"""The reports on paper. A4 is 210 by 297 mm (ISO 216)."""

import io
import logging
from collections.abc import Callable

import pypdf
import pytest
import time_machine
from django.urls import reverse

from tests.accessible import reading_faults, structure_faults
from tests.cast import AT, Cast
from tests.training.analysis.conftest import bad_key
from training.quizzes.models import PaperIssue


@pytest.fixture(autouse=True)
def now():
    """Stop the clock at AT."""
    with time_machine.travel(AT, tick=False):
        yield


def printed(cast: Cast, name: str, *args: str) -> pypdf.PdfReader:
    """A report on paper, made without a warning."""
    response = cast.client("tess").get(reverse(f"analysis:{name}", args=args))
    assert response["Content-Type"] == "application/pdf"
    return pypdf.PdfReader(io.BytesIO(response.content))


def words(reader: pypdf.PdfReader) -> str:
    """Its text with single spaces."""
    return " ".join(" ".join(one.extract_text() for one in reader.pages).split())


def test_the_picture_of_marks_says_where_it_begins_and_ends(cast: Cast, hand_in) -> None:
    hand_in(bad_key())
    assert "0\u00a0% 50\u00a0% 100\u00a0% From left to right" in words(printed(cast, "paper_pdf", "theory")).replace(
        "0 %", "0\u00a0%"
    )


@pytest.mark.parametrize(("name", "args"), [("paper_pdf", ["theory"]), ("question_pdf", ["theory", "q1"])])
class TestOnPaper:
    def test_is_tagged_a4_in_its_language(
        self, cast: Cast, hand_in, caplog: pytest.LogCaptureFixture, name: str, args: list[str]
    ) -> None:
        """With a title, its moment, the question about the key, and without a warning of the renderer."""
        hand_in(bad_key())
        with caplog.at_level(logging.WARNING):
            made = printed(cast, name, *args)
        assert [one for one in caplog.records if one.name.startswith(("weasyprint", "fontTools"))] == []
        size = float(made.pages[0].mediabox.width), float(made.pages[0].mediabox.height)
        assert size == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=0.01)
        root = made.trailer["/Root"]
        assert root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"] and "/StructTreeRoot" in root
        assert made.metadata is not None and made.metadata.title
        assert "Is the key right?" in words(made) and "as of" in words(made) and f"of {len(made.pages)}" in words(made)

    def test_is_clean_for_two_checkers_of_tags(
        self, cast: Cast, hand_in: Callable[..., object], name: str, args: list[str]
    ) -> None:
        """Headings in order, tables with headers, pictures with words, all of it read once."""
        hand_in(bad_key())
        content = cast.client("tess").get(reverse(f"analysis:{name}", args=args)).content
        assert structure_faults(content) + reading_faults(content) == []

    def test_says_so_before_the_first_use(self, cast: Cast, theory: PaperIssue, name: str, args: list[str]) -> None:
        """One page."""
        made = printed(cast, name, *args)
        assert "yet" in words(made) and len(made.pages) == 1
