"""A finished print shows what an unfinished one shows, in fewer bytes; joined prints hold what each part held."""

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdf
import pypdfium2
import pytest
from PIL import Image, ImageChops, ImageStat

from training.printing import pdf
from training.printing.pdf import Sheet, joined, press

PLAIN = Sheet(Path(__file__).resolve().parents[3] / "certs" / "static" / "certs" / "card.css")
HTML = """<html lang="en"><head><title>Part {at} (see 12 0 R)</title></head><body>
<h1>Wave To AV</h1><p>{words}</p><dl><dt>Label</dt><dd>Said</dd></dl><p lang="ar" dir="rtl">محمد علي</p>
<img src="asset:/sign.png" alt="A sign \\ (of {at}) 7 0 R"><img src="asset:/grey.png" alt="Grey"></body></html>"""


def picture(*, grey: bool) -> bytes:
    """Draw a small picture, black and white or with a grey in it."""
    made, seen = io.BytesIO(), Image.new("RGB", (9, 9), "white")
    seen.putpixel((2, 3), (128, 128, 128) if grey else (0, 0, 0))
    seen.save(made, "PNG")
    return made.getvalue()


ASSETS = {f"asset:/{name}.png": ("image/png", picture(grey=name == "grey")) for name in ("sign", "grey")}


def made(at: int = 1) -> bytes:
    html = HTML.format(at=at, words="Words of many letters that go on. " * 12)
    return pdf.render_pdf(html, ASSETS, sheet=PLAIN).content


@pytest.fixture
def unfinished(monkeypatch: pytest.MonkeyPatch) -> bytes:
    with monkeypatch.context() as patched:
        patched.setattr(press, "finish", None)
        return made()


def shown(content: bytes) -> list[Image.Image]:
    with pypdfium2.PdfDocument(content) as document:
        return [page.render(scale=3).to_pil().convert("L") for page in document]


def elements(node: Any) -> Iterator[Any]:
    """Yield the elements below a node of the structure."""
    for kid in node.get("/K", []):
        inner = kid.get_object()
        if isinstance(inner, dict):
            yield inner
            yield from elements(inner)


class TestFinish:
    def test_changes_nothing_that_is_seen_or_read(self, unfinished: bytes) -> None:
        """Each letter within a hundredth of a millimetre, the same words in the same order."""
        finished = made()
        assert len(finished) < len(unfinished)
        for ours, theirs in zip(shown(finished), shown(unfinished), strict=True):
            assert ImageStat.Stat(ImageChops.difference(ours, theirs)).mean[0] < 0.25  # of 255
        ours, theirs = (pypdf.PdfReader(io.BytesIO(each)) for each in (finished, unfinished))
        assert [page.extract_text() for page in ours.pages] == [page.extract_text() for page in theirs.pages]

    def test_packs_black_and_white_only(self) -> None:
        """One bit for a point of the sign, eight for each colour of what has a grey; both look as they did."""
        page = pypdf.PdfReader(io.BytesIO(made())).pages[0]
        seen = {one["/BitsPerComponent"]: one for one in (page.images[at].indirect_reference for at in range(2))}
        assert set(seen) == {1, 8}
        packed = next(one.image for one in page.images if one.indirect_reference["/BitsPerComponent"] == 1)
        assert packed is not None
        assert packed.convert("RGB").tobytes() == Image.open(io.BytesIO(picture(grey=False))).tobytes()

    def test_gives_lines_to_their_paragraph(self, unfinished: bytes) -> None:
        """ISO 32000-1, 14.7.4: each piece of content is owned by the element that the tree of owners names."""
        before, after = (pypdf.PdfReader(io.BytesIO(each)) for each in (unfinished, made()))
        old, new = (list(elements(each.trailer["/Root"]["/StructTreeRoot"]["/K"][0])) for each in (before, after))
        assert "/Span" in [each["/S"] for each in old]
        assert [each["/S"] for each in new] == [each["/S"] for each in old if each["/S"] != "/Span"]
        owners = after.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"][1]
        owned = [(at, owner.get_object()) for at, owner in enumerate(owners)]
        assert all(at in owner["/K"] for at, owner in owned)


class TestJoined:
    def test_holds_what_each_part_held(self) -> None:
        """Words, pictures and their texts, even those that look like a reference; the title is the first's."""
        parts = [made(at) for at in (1, 2, 3)]
        whole = joined(parts)
        reader = pypdf.PdfReader(io.BytesIO(whole.content), strict=True)
        single = [page for part in parts for page in pypdf.PdfReader(io.BytesIO(part)).pages]
        assert whole.pages == len(reader.pages) == len(single)
        assert [page.extract_text() for page in reader.pages] == [page.extract_text() for page in single]
        assert reader.metadata is not None
        assert reader.metadata.title == "Part 1 (see 12 0 R)"
        found = [
            each["/Alt"] for each in elements(reader.trailer["/Root"]["/StructTreeRoot"]["/K"][0]) if "/Alt" in each
        ]
        assert found[::2] == [f"A sign \\ (of {at}) 7 0 R" for at in (1, 2, 3)]
        for ours, theirs in zip(shown(whole.content), [page for part in parts for page in shown(part)], strict=True):
            assert ours.tobytes() == theirs.tobytes()

    def test_is_no_larger_than_its_parts(self) -> None:
        """And the same each time."""
        parts = [made(at) for at in (1, 2)]
        assert len(joined(parts).content) < sum(map(len, parts))
        assert joined(parts) == joined(parts)

    def test_of_one_is_that_one(self) -> None:
        """Nothing is lost on the way."""
        assert len(pypdf.PdfReader(io.BytesIO(joined([made()]).content)).pages) == len(shown(made()))
