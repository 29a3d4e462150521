"""What a PDF carries twice is taken out before it is written: half of the bytes of a print of cards."""

import io
import re
import struct
import zlib
from typing import Any

import pydyf
from PIL import Image

# What holds text itself (ISO 32000-1, 14.8.4.3 and 14.8.4.4): here a line needs no element of its own.
HOLDS_TEXT = frozenset({"/P", "/H1", "/H2", "/H3", "/H4", "/H5", "/H6", "/LBody", "/Lbl", "/TD", "/TH", "/Caption"})
# Pictures of one channel and of three: their colour type in a PNG (ISO/IEC 15948, 11.2.2), their black and white.
COLOURS = {"/DeviceGray": (0, {0, 255}), "/DeviceRGB": (2, {(0, 0, 0), (255, 255, 255)})}
# What no printer shows; moves between letters that follow one another, in thousandths of an em (ISO 32000-1, 9.4.3).
DIGITS = re.compile(rb"(\.\d{3})\d+")
MARK = re.compile(rb"/\w+\n<</MCID (\d+)>>\nBDC")
MOVES = re.compile(rb"(-?[\d.]+)<>(-?[\d.]+)")


def finish(_document: Any, pdf: pydyf.PDF) -> None:
    """Write drawing in fewer digits, pictures of black and white one bit deep, lines of text under their paragraph.

    Headers and feet, which the renderer marks as content of nothing, become decoration.
    """
    elements = {one.reference: one for one in pdf.objects if _type(one) == "/StructElem"}
    pages = _unread(pdf, elements)
    for each in pdf.objects:
        if isinstance(each, pydyf.Stream):
            kind = each.extra.get("Subtype")
            if kind == "/Image":
                _thin(each)
            elif kind == "/Form" or each.reference in pages:
                each.stream = [_decorated(_shortened(_written(each)), pages.get(each.reference, set()))]
    _pair(pdf, elements)
    _fold(pdf, elements)


def _decorated(content: bytes, numbers: set[int]) -> bytes:
    """Return a page on which the marked content of these numbers is decoration (ISO 32000-1, 14.8.2.2)."""

    def mark(found: re.Match[bytes]) -> bytes:
        return b"/Artifact\n<</Type /Pagination>>\nBDC" if int(found[1]) in numbers else found[0]

    return MARK.sub(mark, content) if numbers else content


def _written(page: pydyf.Stream) -> bytes:
    """Return what a stream will hold, whatever it is made of."""
    whole: bytes = pydyf.Stream(page.stream).data
    return whole.partition(b"stream\n")[2].removesuffix(b"\nendstream")


def _shortened(content: bytes) -> bytes:
    """Return a page with letters in one string as long as nothing moves them, and places to a thousandth of a point."""
    content = content.replace(b">0<", b"").replace(b">0]", b">]")
    content = MOVES.sub(lambda found: b"%d" % round(float(found[1]) + float(found[2])), content)
    return DIGITS.sub(rb"\1", content)


def _thin(picture: pydyf.Stream) -> None:
    """Pack a picture into bits if it is black and white: the renderer makes eight or twenty-four of each."""
    facts = picture.extra
    if facts["ColorSpace"] not in COLOURS or facts.get("Filter") != "/FlateDecode" or "SMask" in facts:
        return
    colour, both = COLOURS[facts["ColorSpace"]]
    header = struct.pack(">IIBBBBB", facts["Width"], facts["Height"], 8, colour, 0, 0, 0)
    rows = b"".join(each.data for each in picture.stream)
    chunks = [_chunk(b"IHDR", header), _chunk(b"IDAT", rows), _chunk(b"IEND", b"")]
    seen = Image.open(io.BytesIO(b"\x89PNG\r\n\x1a\n" + b"".join(chunks)))
    if {value for _count, value in seen.getcolors(2) or [(0, None)]} <= both:
        picture.stream = [seen.convert("1", dither=Image.Dither.NONE).tobytes()]
        picture.compress = True
        facts["ColorSpace"], facts["BitsPerComponent"] = "/DeviceGray", 1
        del facts["Filter"], facts["DecodeParms"]


def _chunk(kind: bytes, content: bytes) -> bytes:
    """Return a chunk of a PNG (ISO/IEC 15948, 5.3)."""
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def _fold(pdf: pydyf.PDF, elements: dict[bytes, pydyf.Dictionary]) -> None:
    """Give the marked content of a line to the paragraph, and let the element between them go."""
    moved: dict[bytes, bytes] = {}
    for line in elements.values():
        above = elements.get(line["P"])
        plain = line["S"] == "/Span" and all(isinstance(one, int) for one in line["K"])
        if plain and above and above["S"] in HOLDS_TEXT and above["Pg"] == line["Pg"]:
            place = above["K"].index(line.reference)
            above["K"][place : place + 1] = line["K"]  # none at all where a line came out empty
            moved[line.reference] = line["P"]
            pdf.objects[line.number] = _free()
    for owners in _owners(pdf):
        owners[:] = [moved.get(owner, owner) for owner in owners]


def _pair(pdf: pydyf.PDF, elements: dict[bytes, pydyf.Dictionary]) -> None:
    """Make one item of a list of each name with what is said of it (ISO 32000-1, 14.8.4.3.3): a list holds only items.

    In HTML a `div` inside a `dl` joins them, and the renderer keeps it between the list and its items.
    """
    for pair in elements.values():
        if pair["S"] == "/Div" and pair["P"] in elements and elements[pair["P"]]["S"] == "/L":
            items = [elements[kid] for kid in pair["K"]]
            bodies = [elements[kid] for item in items for kid in item["K"]]
            for body in bodies:
                body["P"] = pair.reference
            bodies[0]["S"], pair["S"] = "/Lbl", "/LI"
            pair["K"][:] = [body.reference for body in bodies]
            for item in items:
                pdf.objects[item.number] = _free()


def _unread(pdf: pydyf.PDF, elements: dict[bytes, pydyf.Dictionary]) -> dict[bytes, set[int]]:
    """Return for each page the marked content that hangs on nothing: headers and feet, which repeat on every page.

    Its owner is taken out of the tree of owners; its marks are then to say that it is no content.
    """
    read: set[bytes] = set()
    waiting = [each.reference for each in elements.values() if each["S"] == "/Document"]
    while waiting:
        reference = waiting.pop()
        if reference in elements and reference not in read:
            read.add(reference)
            waiting += [kid for kid in elements[reference]["K"] if isinstance(kid, bytes)]
    pages = [each["Contents"] for each in pdf.objects if _type(each) == "/Page"]
    found: dict[bytes, set[int]] = {}
    for page, owners in zip(pages, _owners(pdf), strict=False):
        found[page] = {at for at, owner in enumerate(owners) if owner not in read}
        owners[:] = ["null" if at in found[page] else owner for at, owner in enumerate(owners)]
    return found


def _owners(pdf: pydyf.PDF) -> list[pydyf.Array]:
    """Return the lists of who owns the marked content of each page, in the order of pages."""
    trees = [one["Nums"] for one in pdf.objects if isinstance(one, pydyf.Dictionary) and "Nums" in one]
    return [owners for tree in trees for owners in tree if isinstance(owners, pydyf.Array)]


def _type(one: pydyf.Object) -> str:
    return str(one.get("Type", "")) if isinstance(one, pydyf.Dictionary) else ""


def _free() -> pydyf.Object:
    """Return what stands in the table for a number that is not used (ISO 32000-1, 7.5.4 and 7.5.8.3)."""
    gone = pydyf.Object()
    gone.number, gone.generation, gone.free = 0, 65535, "f"
    return gone
