"""What the renderer opens, what it makes, and who may use it."""

import io
import re
from pathlib import Path

import pypdf
import pytest

from training.printing import pdf
from training.printing.pdf import Sheet

ROOT = Path(__file__).resolve().parents[3]
PLAIN = Sheet(ROOT / "training" / "static" / "training" / "print.css")


class TestHeldAssets:
    """The renderer opens nothing by itself."""

    @pytest.mark.parametrize(
        "markup",
        [
            '<img src="file:///etc/hostname" alt="">',
            '<img src="http://127.0.0.1:9/x.png" alt="">',
            '<img src="https://127.0.0.1:9/x.png" alt="">',
            '<img src="//127.0.0.1:9/x.png" alt="">',
            '<img src="data:image/png;base64,AAAA" alt="">',
            '<img src="asset:/../../etc/hostname" alt="">',
            '<link rel="stylesheet" href="file:///etc/hostname">',
            "<style>@import url(http://127.0.0.1:9/x.css);</style>",
            "<style>@font-face { font-family: X; src: url(file:///etc/hostname) } p { font-family: X }</style><p>x</p>",
            '<p style="background: url(http://127.0.0.1:9/x.png)">x</p>',
            '<object data="file:///etc/hostname"></object>',
            '<embed src="file:///etc/hostname">',
            '<svg width="9" height="9"><image href="file:///etc/hostname" width="9" height="9"/></svg>',
            '<svg width="9" height="9"><image href="http://127.0.0.1:9/x.png" width="9" height="9"/></svg>',
        ],
    )
    def test_refuse_every_other_address(self, markup: str) -> None:
        """Files, networks and images inside SVG alike; and as an exception a server can handle."""
        with pytest.raises(pdf.AssetRefused):
            pdf.render_pdf(f"<html lang=en><title>x</title><body>{markup}</body></html>", {}, sheet=PLAIN)

    def test_follow_no_redirect(self) -> None:
        """An answer that points elsewhere is not followed: nothing is asked of any server."""
        held = pdf.held_assets({})
        assert not [each for each in held.handlers if type(each).__name__ == "HTTPRedirectHandler"]
        assert held._allowed_protocols == ["asset"]

    def test_refuse_it_also_inside_a_held_drawing(self) -> None:
        """A picture that is held cannot bring one along that is not."""
        drawing = (
            '<svg xmlns="http://www.w3.org/2000/svg"><image href="file:///etc/hostname" width="9" height="9"/></svg>'
        )
        with pytest.raises(pdf.AssetRefused, match="file:///etc/hostname"):
            pdf.render_pdf(
                '<html lang=en><title>x</title><body><img src="asset:/a.svg" alt="a">',
                {"asset:/a.svg": ("image/svg+xml", drawing.encode())},
                sheet=PLAIN,
            )


class TestRenderPdf:
    """What comes out."""

    HTML = "<html lang=en><title>Two</title><body><p>first<p style='break-before: page'>second"

    def test_is_tagged_and_counted(self) -> None:
        """ISO 32000-1, 14.7 and 14.8: a marked document has a structure tree and a language."""
        made = pdf.render_pdf(self.HTML, {}, sheet=PLAIN)
        reader = pypdf.PdfReader(io.BytesIO(made.content))
        root = reader.trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"]
        assert "/StructTreeRoot" in root
        assert root["/Lang"] == "en"
        assert made.pages == len(reader.pages) == 2

    def test_is_the_same_each_time(self) -> None:
        """A lost print is made again, to the byte."""
        assert pdf.render_pdf(self.HTML, {}, sheet=PLAIN) == pdf.render_pdf(self.HTML, {}, sheet=PLAIN)


class TestWeasyPrint:
    """One door to the renderer, and it is locked."""

    def test_is_imported_by_one_module_only(self) -> None:
        """Whoever imports it elsewhere goes round the fetcher."""
        words = re.compile(r"^\s*(?:import|from)\s+weasyprint\b|import_module\(.weasyprint", re.MULTILINE)
        files = [file for package in ("training", "certs") for file in (ROOT / package).rglob("*.py")]
        users = {str(file.relative_to(ROOT)) for file in files if words.search(file.read_text(encoding="utf-8"))}
        assert users == {"training/printing/pdf/press.py"}
