"""From HTML to PDF with nothing but bytes already held: no file, no network, no redirect.

The one module that imports WeasyPrint. That takes most of a second and few pages print, so it is done at first use.
"""

import atexit
import gc
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from training.printing.pdf.finish import finish
from training.printing.pdf.metrics import FILES

VARIANT = "pdf/ua-1"
# FontConfiguration and Pango's font map are not safe between threads.
PRESS = threading.Lock()

# The type and the bytes of a thing that a page shows, by its address asset:/...
Assets = Mapping[str, tuple[str, bytes]]


class AssetRefused(RuntimeError):
    """A page asked for something that is not held; the message lists the addresses."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A style sheet and the SVG pictures it names. It finds them, and the fonts of `metrics`, at asset:/<file name>."""

    css: Path
    pictures: tuple[Path, ...] = ()


# Reports and lists: A4, read in black and white.
REPORT = Sheet(Path(__file__).resolve().parents[2] / "static" / "training" / "report.css")


@dataclass(frozen=True, slots=True)
class Printed:
    """A PDF, and how many pages it has."""

    content: bytes
    pages: int


def render_pdf(html: str, assets: Assets, *, sheet: Sheet) -> Printed:
    """Turn HTML into a tagged PDF; the same HTML and assets give the same bytes. Raises AssetRefused."""
    from weasyprint import HTML  # noqa: PLC0415 (see the head of the file)
    from weasyprint.urls import FatalURLFetchingError  # noqa: PLC0415

    with PRESS, _uncollected():
        style, fonts = _style(sheet)
        held = held_assets({**_pictures(sheet), **assets})
        try:
            page = HTML(string=html, base_url="asset:/", url_fetcher=held)
            document = page.render(stylesheets=[style], font_config=fonts, pdf_variant=VARIANT)
            made: bytes = document.write_pdf(finisher=finish, pdf_variant=VARIANT)
        except FatalURLFetchingError:
            # It is no Exception and would pass through every handler of the server.
            raise AssetRefused(", ".join(held.refused)) from None
    if held.refused:
        # An image inside SVG is dropped without an error.
        raise AssetRefused(", ".join(held.refused))
    return Printed(made, len(document.pages))


@contextmanager
def _uncollected() -> Iterator[None]:
    """Hold the collector back while pages are laid out: looking for garbage among boxes takes a fifth of the time."""
    held = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if held:
            gc.enable()


def held_assets(assets: Assets) -> Any:
    """Return a fetcher that opens nothing by itself: it hands out these bytes, and lists in `refused` the rest."""
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse  # noqa: PLC0415

    class HeldAssets(URLFetcher):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__(allowed_protocols=["asset"], allow_redirects=False, fail_on_errors=True)
            self.refused: list[str] = []

        def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> URLFetcherResponse:
            if url not in assets:
                self.refused.append(url[:200])
                raise FatalURLFetchingError(url[:200])
            kind, content = assets[url]
            return URLFetcherResponse(url, content, {"Content-Type": kind})

    return HeldAssets()


@cache
def _style(sheet: Sheet) -> tuple[Any, Any]:
    """Read a style sheet and its fonts once: doing so for each print costs half of its time and leaks memory."""
    from weasyprint import CSS  # noqa: PLC0415
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    fonts = FontConfiguration()
    text = sheet.css.read_text(encoding="utf-8")
    files = {f"asset:/{name}": (f"font/{name[-3:]}", file.read_bytes()) for name, file in FILES.items() if name in text}
    held = held_assets({**files, **_pictures(sheet)})
    return CSS(string=text, base_url="asset:/", url_fetcher=held, font_config=fonts), fonts


# Let go while the interpreter is whole: its own farewell fails at the very end.
atexit.register(_style.cache_clear)


@cache
def _pictures(sheet: Sheet) -> Assets:
    return {f"asset:/{picture.name}": ("image/svg+xml", picture.read_bytes()) for picture in sheet.pictures}
