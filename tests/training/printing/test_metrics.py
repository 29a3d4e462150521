"""Text is never wider on paper than it was measured."""

import io
from pathlib import Path

import pypdfium2
import pytest

from training.printing import pdf
from training.printing.rules import language_of

STATIC = Path(__file__).resolve().parents[3] / "certs" / "static" / "certs"
CARD = pdf.Sheet(STATIC / "card.css", pictures=tuple(STATIC.glob("*.svg")))
TEXTS = [
    "Maximiliana Featherstonehaugh-Cholmondeley",
    "AVAVAV fi ffl To Wä",
    "Łukasz Żółć-Řehoř, Nguyễn Thị Hồng",
    "Κωνσταντίνος Παπαδόπουλος",
    "Александр Сергеевич Коновалов",
    "محمد عبد الرحمن الشمري",
    "فاطمة الزهراء بنت علي، رقم 12",
    "لا إله ششش سسس ظظظ",
    "山田 太郎、渡辺",
    "김민수 이서연",
    "用8毫米销钉将接续线钎焊到钢轨上",
]


class TestWidth:
    """Measured with the metrics of the fonts, compared with what the renderer sets."""

    @pytest.mark.parametrize("weight", [400, 600, 700])
    @pytest.mark.parametrize("text", TEXTS)
    def test_is_an_upper_bound(self, text: str, weight: int) -> None:
        """The ink of a line that is set ends before the measured width; it is not far off either."""
        tag = {400: "p", 600: "h2", 700: "h1"}[weight]
        language = language_of(text) or "en"
        html = f'<html lang=en><title>x</title><body><{tag} class="pt-70" lang="{language}">{text}</{tag}>'
        made = pdf.render_pdf(html, {}, sheet=CARD)
        with pypdfium2.PdfDocument(io.BytesIO(made.content)) as document:
            boxes = [box.get_bounds() for box in document[0].get_objects() if box.type == 1]
        left, right = min(each[0] for each in boxes), max(each[2] for each in boxes)
        assert made.pages == 1
        assert pdf.missing(text, weight) == []
        assert right - left <= pdf.width(text, weight) * 7 + 0.01
        assert right - left >= pdf.width(text, weight) * 7 * 0.7


class TestMissing:
    def test_names_the_letters_of_no_typeface(self) -> None:
        """Scripts that are not shipped are said, spaces are not."""
        assert pdf.missing("Ada ᚠ 𐎠", 700) == ["ᚠ", "𐎠"]
