"""Putting prints together into one, with their structure: tags survive, so that it is read aloud as each part was."""

import io
from collections.abc import Sequence

from training.printing.pdf.press import Printed


def joined(parts: Sequence[bytes]) -> Printed:
    """Return one PDF of the pages of all parts, which `render_pdf` made; its facts are those of the first part.

    The same parts give the same bytes. A structure tree joins pages to their tags by numbers that count within a file
    (ISO 32000-1, 14.7.4.4), so those of each further part are counted on.
    """
    from pypdf import PdfReader, PdfWriter  # noqa: PLC0415
    from pypdf.generic import NameObject, NumberObject  # noqa: PLC0415

    writer = PdfWriter(clone_from=io.BytesIO(parts[0]))
    tree = writer.root_object["/StructTreeRoot"]
    document, numbers = tree["/K"][0], tree["/ParentTree"]["/Nums"]
    for part in parts[1:]:
        reader = PdfReader(io.BytesIO(part))
        first = len(writer.pages)
        for page in reader.pages:
            added = writer.add_page(page)
            added[NameObject("/StructParents")] = NumberObject(first + page["/StructParents"])
        more = reader.root_object["/StructTreeRoot"].clone(writer)
        for element in more["/K"][0]["/K"]:
            element.get_object()[NameObject("/P")] = document.indirect_reference
            document["/K"].append(element)
        theirs = more["/ParentTree"]["/Nums"]
        for at in range(0, len(theirs), 2):
            numbers.extend([NumberObject(first + theirs[at]), theirs[at + 1]])
    tree[NameObject("/ParentTreeNextKey")] = NumberObject(len(writer.pages))
    made = io.BytesIO()
    writer.write(made)
    return Printed(made.getvalue(), len(writer.pages))
