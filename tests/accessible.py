"""Two partial checks of tagged PDF, by two libraries that know nothing of one another. Neither proves conformance.

Numbers are failure conditions of the Matterhorn Protocol (PDF Association; 31 checkpoints, 136 conditions), a reading
of ISO 14289-1; they are from memory. What needs a person's eye is not among them.
"""

import ctypes
import io
import itertools
import re
from collections.abc import Iterator
from typing import Any

import pypdf
import pypdfium2
from pypdf.generic import ContentStream
from pypdfium2 import raw

# ISO 32000-1, 14.8.4: the standard types that our pages use; another would need a role map (02-001).
STANDARD = frozenset(
    (*("Document", "Part", "Sect", "Div", "NonStruct", "P", "H1", "H2", "H3", "H4", "H5", "H6", "L", "LI", "Lbl"),
     *("LBody", "Table", "THead", "TBody", "TFoot", "TR", "TH", "TD", "Caption", "Span", "Link", "Figure", "Art"))
)  # fmt: skip
SHOWS = frozenset({b"Tj", b"TJ", b"'", b'"', b"f", b"f*", b"F", b"S", b"s", b"B", b"B*", b"b", b"b*", b"Do", b"sh"})
INSIDE = {"LI": {"L"}, "Lbl": {"LI"}, "LBody": {"LI"}, "TR": {"Table", "THead", "TBody", "TFoot"},
          "TH": {"TR"}, "TD": {"TR"}, "THead": {"Table"}, "TBody": {"Table"}, "TFoot": {"Table"}}  # fmt: skip


def structure_faults(content: bytes) -> list[str]:
    """Return what pypdf finds wrong with the structure, the marks on the content, the language and the fonts."""
    reader = pypdf.PdfReader(io.BytesIO(content))
    root: Any = reader.trailer["/Root"]
    faults = [] if root.get("/MarkInfo", {}).get("/Marked") else ["01: not marked as tagged"]
    if "/StructTreeRoot" not in root:
        return [*faults, "01: no structure tree"]
    if not root.get("/Lang"):
        faults.append("11-006: no language")
    if not root.get("/ViewerPreferences", {}).get("/DisplayDocTitle"):
        faults.append("07-001: the title is not shown")
    metadata = root["/Metadata"].get_data().decode() if "/Metadata" in root else ""
    if "<dc:title" not in metadata or not (reader.metadata and reader.metadata.title):
        faults.append("06-003: no title")
    nodes = list(_nodes(root["/StructTreeRoot"], ""))
    for name, above, node in nodes:
        if name not in STANDARD:
            faults.append(f"02-001: type {name}")
        if name in INSIDE and above not in INSIDE[name]:
            faults.append(f"09-004 or 09-005: {name} in {above}")
        if name == "Figure" and not node.get("/Alt"):
            faults.append("13-004: figure without other text")
        if name == "Table" and "TH" not in {each for each, _above, _node in _nodes(node, name)}:
            faults.append("15: table without headers")
    levels = [int(name[1]) for name, _above, _node in nodes if re.fullmatch(r"H\d", name)]
    if levels and levels[0] != 1:
        faults.append("14-002: the first heading is no H1")
    faults += [f"14-003: H{two} after H{one}" for one, two in itertools.pairwise(levels) if two > one + 1]
    owners = _owners(root["/StructTreeRoot"]["/ParentTree"])
    for number, page in enumerate(reader.pages, 1):
        faults += [f"page {number}, {each}" for each in _unmarked(page, reader, owners)]
        faults += [f"page {number}, {each}" for each in _fonts(page)]
    return faults


def _nodes(node: Any, above: str) -> Iterator[tuple[str, str, Any]]:
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, list) else [kids]:
        inner = kid.get_object()
        if isinstance(inner, dict) and "/S" in inner:
            name = str(inner["/S"])[1:]
            yield name, above, inner
            yield from _nodes(inner, name)


def _owners(tree: Any) -> dict[int, Any]:
    numbers = tree["/Nums"]
    return {int(numbers[at]): numbers[at + 1].get_object() for at in range(0, len(numbers), 2)}


def _unmarked(page: Any, reader: Any, owners: dict[int, Any]) -> Iterator[str]:
    """Follow the marks of a page: what is shown is content of an element, or decoration, and never both."""
    stack: list[str] = []
    owned = owners.get(int(page["/StructParents"]), []) if "/StructParents" in page else []
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        if operator in {b"BMC", b"BDC"}:
            facts = operands[1] if len(operands) > 1 and isinstance(operands[1], dict) else {}
            if "/MCID" in facts and facts["/MCID"] >= len(owned):
                yield f"01-006: content {facts['/MCID']} belongs to no element"
            stack.append("tagged" if "/MCID" in facts else str(operands[0]))
            if {"tagged", "/Artifact"} <= set(stack):
                yield "01-003 or 01-004: decoration and content within one another"
        elif operator == b"EMC":
            stack.pop()
        elif operator in SHOWS and not {"tagged", "/Artifact"} & set(stack):
            yield f"01-005: {operator.decode()} is neither content nor decoration"


def _fonts(page: Any) -> Iterator[str]:
    for font in page["/Resources"].get("/Font", {}).values():
        facts = font.get_object()
        inner = facts.get("/DescendantFonts", [facts])[0].get_object()
        if not {"/FontFile", "/FontFile2", "/FontFile3"} & set(inner.get("/FontDescriptor", {})):
            yield f"31-009: {facts['/BaseFont']} is not embedded"
        if "/ToUnicode" not in facts:
            yield f"31-027: {facts['/BaseFont']} does not say which letters it shows"


def reading_faults(content: bytes) -> list[str]:
    """Return where what PDFium reads along the structure differs from what stands on the page, piece by piece."""
    faults = []
    with pypdfium2.PdfDocument(content) as document:
        for number, page in enumerate(document, 1):
            tree = raw.FPDF_StructTree_GetForPage(page)
            read = [at for place in range(raw.FPDF_StructTree_CountChildren(tree))
                    for at in _read(raw.FPDF_StructTree_GetChildAtIndex(tree, place))]  # fmt: skip
            raw.FPDF_StructTree_Close(tree)
            shown = _shown(page)
            if len(read) != len(set(read)):
                faults.append(f"page {number}: something is read twice")
            if missed := set(shown) - set(read):
                faults.append(f"page {number}: never read: {[shown[at] for at in sorted(missed)]}")
            if set(read) - set(shown):
                faults.append(f"page {number}: read and not there")
    return faults


def read_aloud(content: bytes) -> list[str]:
    """Return the words of each page in the order of the structure, as PDFium finds them."""
    pages = []
    with pypdfium2.PdfDocument(content) as document:
        for page in document:
            tree = raw.FPDF_StructTree_GetForPage(page)
            shown = _shown(page)
            read = [at for place in range(raw.FPDF_StructTree_CountChildren(tree))
                    for at in _read(raw.FPDF_StructTree_GetChildAtIndex(tree, place))]  # fmt: skip
            raw.FPDF_StructTree_Close(tree)
            pages.append(" ".join(" ".join(shown.get(at, "") for at in read).split()))
    return pages


def _read(element: Any) -> Iterator[int]:
    """Yield the numbers of the marked content below an element, in the order in which it is read."""
    for place in range(raw.FPDF_StructElement_CountChildren(element)):
        child = raw.FPDF_StructElement_GetChildAtIndex(element, place)
        if child:
            yield from _read(child)
        elif (number := raw.FPDF_StructElement_GetChildMarkedContentID(element, place)) >= 0:
            yield number


def _shown(page: Any) -> dict[int, str]:
    """Return the words, or nothing for a picture, of each piece of marked content of a page."""
    text = page.get_textpage()
    found: dict[int, str] = {}
    for each in page.get_objects():
        number = raw.FPDFPageObj_GetMarkedContentID(each)
        if number >= 0:
            found[number] = found.get(number, "") + (_words(each, text) if each.type == raw.FPDF_PAGEOBJ_TEXT else "")
    return found


def _words(each: Any, text: Any) -> str:
    size = raw.FPDFTextObj_GetText(each, text, None, 0)
    held = (ctypes.c_ushort * (size // 2))()
    raw.FPDFTextObj_GetText(each, text, held, size)
    return bytes(held).decode("utf-16-le").rstrip("\0")
