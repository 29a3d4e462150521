"""Putting prints together into one, with their structure: tags survive, so that it is read aloud as each part was.

Objects are copied as they stand under other numbers, which takes a tenth of the time of building each of them up,
and go back into one compressed stream, so that the whole is no larger than its parts.
"""

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import pydyf

from training.printing.pdf.parts import Part, listed, read, renumbered
from training.printing.pdf.press import Printed

# In the tree of owners: a page, and the elements that own its marked content (ISO 32000-1, 14.7.4.4).
OWNERS = re.compile(rb"(\d+) \[([^\]]*)\]")
STRUCT_PARENTS = re.compile(rb"/StructParents (\d+)")
# What a whole has once, in the order in which it is written; `info` is put at its end by the writer.
ONCE = ("pages", "catalog", "tree", "document", "owners", "metadata")


class Held(pydyf.Object):  # type: ignore[misc]
    """An object as it stands; one with a stream cannot stand in the compressed stream."""

    def __init__(self, content: bytes, *, packs: bool) -> None:
        super().__init__()
        self.content, self.packs = content, packs

    @property
    def data(self) -> bytes:
        """What is written."""
        return self.content

    @property
    def compressible(self) -> bool:
        """Whether it may stand in the compressed stream."""
        return self.packs


@dataclass(slots=True)
class _Whole:
    """What is gathered: everything that a part has many of, and lists of what hangs on the things a whole has once."""

    pdf: pydyf.PDF = field(default_factory=pydyf.PDF)
    pages: list[bytes] = field(default_factory=list)
    tops: list[bytes] = field(default_factory=list)
    owners: list[bytes] = field(default_factory=list)

    def add(self, content: bytes, *, packs: bool = True) -> None:
        self.pdf.add_object(Held(content, packs=packs))

    def take(self, part: Part) -> None:
        """Copy the objects of a part, and list its pages, what is at the top of its structure, and who owns what."""
        numbers = {part.own[name]: at for at, name in enumerate(ONCE, 1)}
        many = [at for at in (*part.plain, *part.streams) if at not in part.own.values()]
        numbers |= {old: new for new, old in enumerate(many, len(self.pdf.objects))}
        before = len(self.pages)

        def counted_on(found: re.Match[bytes]) -> bytes:
            return b"/StructParents %d" % (before + int(found[1]))

        for at in many:
            if at in part.plain:
                self.add(STRUCT_PARENTS.sub(counted_on, renumbered(part.plain[at], numbers)))
            else:
                self.add(renumbered(part.streams[at], numbers), packs=False)
        self.pages += listed(renumbered(part.plain[part.own["pages"]], numbers), b"Kids")
        self.tops += listed(renumbered(part.plain[part.own["document"]], numbers), b"K")
        for at, owners in OWNERS.findall(renumbered(part.plain[part.own["owners"]], numbers)):
            self.owners.append(b"%d [%s]" % (before + int(at), owners))

    def close(self, first: Part) -> None:
        """Write what a whole has once, with the facts of its first part."""
        numbers = {first.own[name]: at for at, name in enumerate(ONCE, 1)}
        once = {
            "pages": b"<</Type /Pages/Kids [%s]/Count %d>>" % (b" ".join(self.pages), len(self.pages)),
            "catalog": renumbered(first.plain[first.own["catalog"]], numbers),
            "tree": b"<</Type /StructTreeRoot/K [4 0 R]/ParentTree 5 0 R/ParentTreeNextKey %d>>" % len(self.pages),
            "document": b"<</Type /StructElem/S /Document/K [%s]/P 3 0 R>>" % b" ".join(self.tops),
            "owners": b"<</Nums [%s]>>" % b" ".join(self.owners),
            "metadata": first.streams[first.own["metadata"]],
        }
        for at, name in enumerate(ONCE, 1):
            held = self.pdf.objects[at] = Held(once[name], packs=name != "metadata")
            held.number = at
        self.pdf.pages, self.pdf.catalog = self.pdf.objects[1], self.pdf.objects[2]
        self.pdf.info = Held(first.plain[first.own["info"]], packs=True)


def joined(parts: Sequence[bytes]) -> Printed:
    """Return one PDF of the pages of all parts, which `render_pdf` made; its facts are those of the first part.

    The same parts give the same bytes. A structure tree joins pages to their tags by numbers that count within a file
    (ISO 32000-1, 14.7.4.4), so those of each further part are counted on. The parts hold no links.
    """
    whole = _Whole()
    del whole.pdf.objects[1:]
    for _name in ONCE:
        whole.add(b"")
    read_parts = [read(content) for content in parts]
    for part in read_parts:
        whole.take(part)
    whole.close(read_parts[0])
    made = io.BytesIO()
    whole.pdf.write(made, compress=True)
    return Printed(made.getvalue(), len(whole.pages))
