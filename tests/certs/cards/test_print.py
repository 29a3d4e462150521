"""A print read back: by a PDF reader, by a code reader, in every layout and script."""

import io
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdf
import pypdfium2
import pytest
import zxingcpp
from PIL import Image, ImageFilter

from certs.cards import pdf, queries
from certs.cards.pdf import Layout, lay
from certs.cards.queries import CardFace, code_url
from certs.cards.rules import ALPHABET
from tests.cast import ON, Cast
from tests.certs import factory

PT_PER_MM = 72 / 25.4
NAMES = ["Łukasz Żółć", "Παπαδόπουλος", "Коновалов", "محمد علي", "山田太郎", "김민수"]


@pytest.fixture
def shown(cast: Cast, card_key: Path) -> CardFace:
    factory.card(cast, cast.ada, on=ON)
    return queries.face(queries.cards().get(), on=ON)


def pages(made: bytes, dpi: int) -> list[Image.Image]:
    """Return the pages as a printer or a camera at that resolution sees them."""
    with pypdfium2.PdfDocument(made) as document:
        return [page.render(scale=dpi / 72).to_pil().convert("L") for page in document]


class TestReader:
    """What a PDF reader finds, with another library than the one that wrote it."""

    @pytest.fixture
    def made(self, shown: CardFace) -> pypdf.PdfReader:
        return pypdf.PdfReader(io.BytesIO(pdf.render(replace(shown, language="fr"))))

    def test_finds_pages_of_the_size_of_a_card(self, made: pypdf.PdfReader) -> None:
        """ISO/IEC 7810, ID-1: 85.60 mm by 53.98 mm, on every box of every page."""
        assert len(made.pages) == 2
        for page in made.pages:
            for box in (page.mediabox, page.cropbox, page.bleedbox, page.trimbox, page.artbox):
                assert float(box.width) == pytest.approx(85.60 * PT_PER_MM, abs=0.002)
                assert float(box.height) == pytest.approx(53.98 * PT_PER_MM, abs=0.002)

    def test_finds_title_language_and_tags(self, made: pypdf.PdfReader, shown: CardFace) -> None:
        """ISO 32000-1, 14.8: a marked document has a structure tree; 14.9.2: a language."""
        root: Any = made.trailer["/Root"]
        assert made.metadata is not None
        assert made.metadata.title == f"Card {shown.number}, {shown.holder}"
        assert made.metadata.author == shown.issuer
        assert root["/Lang"] == "fr"
        assert root["/MarkInfo"]["/Marked"]
        assert "/StructTreeRoot" in root

    def test_finds_every_fact(self, made: pypdf.PdfReader, shown: CardFace) -> None:
        """Whose scheme and issue, who, which card, what for, from when to when, in which zone; how to check it."""
        front, back = (" ".join(page.extract_text().split()) for page in made.pages)
        facts = (shown.issuer, shown.scheme, "édition 1", shown.holder, shown.number, shown.scope, "Europe/London")
        days = ("25 nov. 2026", "24 nov. 2029", "25 mai 2027")
        assert [fact for fact in (*facts, *days) if fact not in front] == []
        assert [fact for fact in (shown.limits, "Pour vérifier", "Propriété de") if fact not in back] == []

    def test_finds_the_number_in_one_piece(self, shown: CardFace) -> None:
        """Whatever letters meet in it: two other libraries find no space, so it can be copied and searched for."""
        numbers = [f"FB-{one}J{one}A-A{one}J{one}" for one in ALPHABET]
        cards = [lay(replace(shown, number=number)) for number in numbers]
        made = pdf.press(cards, Layout.CARDS, title="Numbers").content
        with pypdfium2.PdfDocument(made) as document:
            drawn = [document[at].get_textpage().get_text_range() for at in range(0, len(document), 2)]
        read = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made)).pages[::2]]
        assert [number for number, text in zip(numbers, drawn, strict=True) if number not in text] == []
        assert [number for number, text in zip(numbers, read, strict=True) if number not in text] == []

    def test_finds_no_claim(self, made: pypdf.PdfReader) -> None:
        """A card says whose scheme it is and claims no standard."""
        text = " ".join(page.extract_text() for page in made.pages)
        assert not [claim for claim in ("ISO", "EN 1", "conform", "PDF/UA", "17024") if claim in text]

    def test_finds_names_in_every_script(self, shown: CardFace) -> None:
        """Each in the typefaces that are shipped, never in one of the machine's."""
        cards = [lay(replace(shown, holder=name, number=f"FB-{at}")) for at, name in enumerate(NAMES)]
        made = pypdf.PdfReader(io.BytesIO(pdf.press(cards, Layout.CARDS, title="Six").content))
        for name, page in zip(NAMES, made.pages[::2], strict=True):
            letters = sorted(name.replace(" ", ""))
            text = page.extract_text()
            assert [each for each in letters if each not in text] == [], name
        fonts = {
            str(font.get_object()["/BaseFont"]).partition("+")[2].replace("-", " ")
            for page in made.pages
            for font in page["/Resources"]["/Font"].values()
        }
        assert {font for font in fonts if not font.startswith("Plate")} == set()


class TestCode:
    """The code of a card, read by another library than the one that drew it."""

    @pytest.mark.parametrize("dpi", [100, 150, 300])
    def test_is_read_at_many_resolutions(self, shown: CardFace, dpi: int) -> None:
        """The whole address comes back."""
        found = zxingcpp.read_barcodes(pages(pdf.render(shown), dpi)[0])
        assert [one.text for one in found] == [code_url(shown)]

    @pytest.mark.parametrize("turn", [7, 33, 90, 180])
    def test_is_read_blurred_and_turned(self, shown: CardFace, turn: int) -> None:
        """A shaking hand, a card held at an angle: one of three pictures is read, as a phone takes many a second."""
        seen = pages(pdf.render(shown), 200)[0].filter(ImageFilter.GaussianBlur(1.2))
        frames = [seen.rotate(turn + more, expand=True, fillcolor=255) for more in (0, 1, 2)]
        assert {one.text for frame in frames for one in zxingcpp.read_barcodes(frame)} == {code_url(shown)}

    @pytest.mark.parametrize("layout", [Layout.TEN, Layout.EIGHT])
    def test_of_every_card_of_a_sheet_is_read_where_it_lies(self, shown: CardFace, layout: Layout) -> None:
        """Three cards: their codes stand in the places of ISO/IEC 7810 cards on an A4 sheet (ISO 216)."""
        cards = [replace(shown, holder=f"Person {at}", number=f"FB-{at}") for at in range(3)]
        made = pdf.press([lay(one) for one in cards], layout, title="Three")
        front = pages(made.content, 200)[0]
        assert made.pages == 2
        assert (front.width, front.height) == (pytest.approx(210 / 25.4 * 200, abs=1), pytest.approx(2339, abs=1))
        found = {one.text: one.position.top_left for one in zxingcpp.read_barcodes(front)}
        assert set(found) == {code_url(one) for one in cards}
        left, right, below = (found[code_url(one)] for one in cards)
        across, down = (85.6, 53.98) if layout is Layout.TEN else (95.6, 61.98)
        assert right.x - left.x == pytest.approx(across / 25.4 * 200, abs=2)
        assert below.y - left.y == pytest.approx(down / 25.4 * 200, abs=2)


class TestSheet:
    """Paper that is printed on both sides and cut."""

    def corners(self, page: Image.Image) -> tuple[float, float, float, float]:
        """Return the outline of what is printed in the colour of the frame, in mm: left, top, right, bottom."""
        mask = Image.eval(page.getchannel("B"), lambda value: 255 if value < 40 else 0)
        red = Image.eval(page.getchannel("R"), lambda value: 255 if 120 < value < 150 else 0)
        both = Image.composite(mask, Image.new("L", mask.size), red)
        return tuple(side * 25.4 / 150 for side in both.getbbox())  # type: ignore[return-value,union-attr]

    @pytest.mark.parametrize("layout", [Layout.TEN, Layout.EIGHT])
    def test_meets_its_back(self, shown: CardFace, layout: Layout) -> None:
        """One card on the left: its back is as far from the other edge, so that they meet when the paper is turned."""
        made = pdf.press([lay(shown)], layout, title="One")
        with pypdfium2.PdfDocument(made.content) as document:
            front, back = (page.render(scale=150 / 72).to_pil().convert("RGB") for page in document)
        ahead, behind = self.corners(front), self.corners(back)
        assert ahead[0] == pytest.approx(210 - behind[2], abs=0.3)
        assert (ahead[1], ahead[3]) == (pytest.approx(behind[1], abs=0.3), pytest.approx(behind[3], abs=0.3))
        # The frame is drawn 1.4 mm inside a card, half of its line of 0.7 mm further out.
        assert ahead[2] - ahead[0] == pytest.approx(85.6 - 2 * 1.05, abs=0.3)

    def test_says_how_to_turn_it(self, shown: CardFace) -> None:
        """On both sides, with the number of the sheet."""
        reader = pypdf.PdfReader(io.BytesIO(pdf.press([lay(shown)], Layout.TEN, title="x", first=2).content))
        front, back = (" ".join(page.extract_text().split()) for page in reader.pages)
        assert "Front of sheet 2. Print on both sides, flip on the long edge" in front
        assert "Back of sheet 2. Print on both sides, flip on the long edge" in back
        assert "50 mm" in front
