"""The booklet as other software finds it; A5 is 148 mm by 210 mm (ISO 216)."""

import io
import logging
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

import pypdf
import pytest
import time_machine
from fontTools.ttLib import TTFont

from tests import company
from tests.cast import AT, Cast
from tests.training.procedures.content import module, revised, step
from training.content.drawings import DrawingSpec
from training.content.svg import LEAST
from training.printing.pdf.metrics import FACES, FONTS
from training.procedures import operations, pdf
from training.procedures.models import Revision
from training.procedures.rules import fault_rows

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 480"><circle cx="9" cy="9" r="9"/></svg>'
DRAWING = DrawingSpec(
    name="earth",
    title="A firm earth",
    description="An earth on bright steel.",
    labels=("Magnet", "Bright spot"),
    width=640,
    height=480,
    svg=SVG,
)


def drawn():
    """Make a module of which a step shows a drawing."""
    return replace(module(), steps=(step(drawing="earth"),), drawings=(DRAWING,))


def words(page: pypdf.PageObject) -> str:
    """Return the text of a page with single spaces."""
    return " ".join(page.extract_text().split())


def squeezed(text: str) -> str:
    """Drop all spaces: a line end inside a word is no difference."""
    return re.sub(r"\s", "", text)


@pytest.fixture
def shipped(cast: Cast) -> None:
    operations.load(company.content().modules, at=AT)


@pytest.fixture
def site(cast: Cast) -> Iterator[Cast]:
    with time_machine.travel(AT, tick=False):
        operations.load([drawn()], at=AT)
        yield cast


@pytest.mark.usefixtures("shipped")
class TestShippedProcedures:
    @pytest.mark.parametrize("slug", sorted(one.slug for one in company.content().modules))
    def test_are_printed_whole(self, slug: str, caplog: pytest.LogCaptureFixture):
        revision = Revision.objects.filter(module__slug=slug).latest("number")
        with caplog.at_level(logging.WARNING):
            made = pdf.render(revision)
        assert [record for record in caplog.records if record.name.startswith(("weasyprint", "fontTools"))] == []
        pages = pypdf.PdfReader(io.BytesIO(made)).pages
        for number, page in enumerate(pages, start=1):
            assert revision.title in words(page)
            assert "Revision 1, 25 Nov 2026" in words(page)
            assert f"Page {number} of {len(pages)}" in words(page)
            size = float(page.mediabox.width), float(page.mediabox.height)
            assert size == pytest.approx((148 / 25.4 * 72, 210 / 25.4 * 72), abs=0.01)
        self.holds(revision.body, "".join(body_of(page, revision.title) for page in pages))
        assert min(sizes(pages)) == pytest.approx(8.5, abs=0.01)

    @staticmethod
    def holds(body, printed: str) -> None:
        """Every part of every step is on the paper."""
        for one in body["steps"]:
            said = [part for row in fault_rows(one["text"]) for part in row] or [one["text"]]
            texts = [one["title"], *said, one["why"], one["caution"], one["hold"], *one["tools"]]
            texts += [figure[key] for figure in one["figures"] for key in ("says", "value", "value_to", "source")]
            missing = [text for text in texts if squeezed(text) not in printed]
            assert missing == []
        for text in (*body["stops"], *body["tools"], *body["field_limit"], *body["sources"]):
            assert squeezed(text) in printed
        for drawing in body.get("drawings", ()):
            assert all(squeezed(label) in printed for label in drawing["labels"])

    def test_have_markers_that_can_be_read(self):
        """The smallest marker that a drawing may hold, at the width drawings are printed."""
        sheet = pdf.SHEET.css.read_text(encoding="utf-8")
        width = float(re.search(r"figure img {[^}]*width: ([\d.]+)mm", sheet)[1])
        assert float(LEAST) * width / 25.4 * 72 >= 8.5

    def test_use_no_letter_that_the_typeface_lacks(self):
        """Another typeface would step in, and the paper would depend on the machine."""
        letters = {ord(one) for revision in Revision.objects.all() for one in str(revision.body)}
        for file, *_others in FACES.values():
            assert letters - set(TTFont(FONTS / file).getBestCmap()) == set()


def body_of(page: pypdf.PageObject, title: str) -> str:
    """Return the text of a page without spaces, list markers and the running head and foot, which come last."""
    ends = re.escape(squeezed(title)) + r"Page\d+of\d+Revision1,\w+$"
    return re.sub(r"(?:•|\d+\.)*" + ends, "", squeezed(page.extract_text()))


def sizes(pages: Iterable[pypdf.PageObject]) -> set[float]:
    """Return the sizes of type on some pages, in pt."""
    found = set()
    for page in pages:
        # The matrix of the page (cm) times that of the text (tm) times the size set.
        page.extract_text(
            visitor_text=lambda text, cm, tm, _font, size: text.strip() and found.add(abs(cm[3] * tm[3] * size))
        )
    return found


class TestRender:
    def test_is_tagged_and_says_what_a_drawing_shows(self, site: Cast):
        """ISO 14289-1 asks for tags, a language, a title and words in place of a picture (from memory)."""
        reader = pypdf.PdfReader(io.BytesIO(pdf.render(Revision.objects.get())))
        root = reader.trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"]
        assert root["/Lang"] == "en"
        assert root["/ViewerPreferences"]["/DisplayDocTitle"]
        assert reader.metadata.title == "Setting up, revision 1"
        kinds = list(tags(root["/StructTreeRoot"]))
        assert {"/H1", "/H2", "/H3", "/L", "/Table", "/Figure"} <= {kind for kind, _alt in kinds}
        assert [alt for kind, alt in kinds if kind == "/Figure"] == ["An earth on bright steel."]

    def test_is_the_same_each_time(self, site: Cast):
        revision = Revision.objects.get()
        assert pdf.render(revision) == pdf.render(Revision.objects.get())

    def test_says_on_every_page_that_it_is_superseded(self, site: Cast):
        operations.load([revised()], at=AT)
        old = pypdf.PdfReader(io.BytesIO(pdf.render(Revision.objects.get(number=1))))
        assert all("Superseded. Do not work to it." in words(page) for page in old.pages)
        assert "Superseded by revision 2" in words(old.pages[0])
        new = pypdf.PdfReader(io.BytesIO(pdf.render(Revision.objects.get(number=2))))
        assert "uperseded" not in "".join(words(page) for page in new.pages)

    def test_says_on_every_page_that_it_is_out_of_use(self, site: Cast):
        operations.load([], at=AT)
        pages = pypdf.PdfReader(io.BytesIO(pdf.render(Revision.objects.get()))).pages
        assert all("No longer in use. Do not work to it." in words(page) for page in pages)

    def test_takes_words_for_words(self, cast: Cast):
        operations.load([module(purpose="<img src=file:/etc/hostname> & more")], at=AT)
        pages = pypdf.PdfReader(io.BytesIO(pdf.render(Revision.objects.get()))).pages
        assert "<img src=file:/etc/hostname> & more" in words(pages[0])


def tags(node: pypdf.generic.DictionaryObject) -> Iterator[tuple[str, str]]:
    """Yield the kind and the words in place of each structure element, in reading order."""
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, list) else [kids]:
        inner = kid.get_object()
        if isinstance(inner, dict) and "/S" in inner:
            yield str(inner["/S"]), str(inner.get("/Alt", ""))
            yield from tags(inner)


class TestPage:
    def test_sends_the_revision_asked_for(self, site: Cast):
        operations.load([revised()], at=AT)
        client = site.client("ada")
        answer = client.get("/procedures/setup/print.pdf?revision=1")
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"] == 'inline; filename="setup-1.pdf"'
        assert answer.content == pdf.render(Revision.objects.get(number=1))
        assert 'filename="setup-2.pdf"' in client.get("/procedures/setup/print.pdf")["Content-Disposition"]

    def test_knows_no_such_revision(self, site: Cast):
        assert site.client("ada").get("/procedures/setup/print.pdf?revision=7").status_code == 404

    def test_is_linked_from_the_procedure(self, site: Cast):
        body = site.client("ada").get("/procedures/setup/").content.decode()
        assert 'href="/procedures/setup/print.pdf?revision=1"' in body

    def test_asks_a_visitor_to_sign_in(self, site: Cast):
        assert site.client("nobody").get("/procedures/setup/print.pdf").status_code == 302
