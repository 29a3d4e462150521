"""What the laws of the whole tree share."""

from io import BytesIO

import pytest
from pypdf import PdfWriter


class Laid:
    """A document of one empty page, as the renderer would hand it back."""

    pages = (None,)

    def write_pdf(self, **_how: object) -> bytes:
        """Return the bytes of one empty page."""
        blank, file = PdfWriter(), BytesIO()
        blank.add_blank_page(595, 842)
        blank.write(file)
        return file.getvalue()


@pytest.fixture
def unprinted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Print empty pages: who may have a print, and under which headers, is the same whatever stands on it."""
    monkeypatch.setattr("weasyprint.HTML.render", lambda *_what, **_how: Laid())
