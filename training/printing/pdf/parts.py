"""Reading a PDF that `render_pdf` wrote: every object as it stands, by number.

It is no reader of PDF at large: plain objects stand in one compressed stream, and the table is a stream as well
(ISO 32000-1, 7.5.7 and 7.5.8).
"""

import re
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

# A string, in which nothing is a reference (ISO 32000-1, 7.3.4.2), or a reference to an object (7.3.10).
REFERENCE = re.compile(rb"\((?:\\.|[^\\()])*\)|(?<![\w.])(\d+) 0 R(?!\w)", re.DOTALL)
# In the table: an object that stands by itself, at a place in the file.
BY_ITSELF = 1


@dataclass(frozen=True, slots=True)
class Part:
    """The objects of a PDF by number; `streams` are those that cannot stand in a compressed stream."""

    plain: Mapping[int, bytes]
    streams: Mapping[int, bytes]
    # Those that a whole has once, by what they are.
    own: Mapping[str, int]


def read(content: bytes) -> Part:
    """Read the objects of a PDF that `render_pdf` wrote."""
    table_at = int(content[content.rindex(b"startxref") :].split()[1])
    trailer, table = _unpacked(content[table_at:])
    widths = [int(each) for each in _after(trailer, rb"/W \[([\d ]+)\]").split()]
    places = {at: row[1] for at, row in enumerate(_rows(table, widths)) if row[0] == BY_ITSELF and row[1] != table_at}
    ends = [*sorted(places.values()), table_at]
    raw = {at: content[start : ends[ends.index(start) + 1]] for at, start in places.items()}
    streams = {at: _body(each) for at, each in raw.items()}
    plain: dict[int, bytes] = {}
    for at in [at for at, each in streams.items() if each.startswith(b"<</Type /ObjStm")]:
        plain |= dict(_packed(streams.pop(at)))
    return Part(plain, streams, _own(trailer, plain))


def renumbered(content: bytes, numbers: Mapping[int, int]) -> bytes:
    """Return an object, or the head of one with a stream, with its references to others under new numbers."""
    head, mark, stream = content.partition(b"\nstream\n")

    def new(found: re.Match[bytes]) -> bytes:
        return b"%d 0 R" % numbers[int(found[1])] if found[1] else found[0]

    return REFERENCE.sub(new, head) + mark + stream


def listed(content: bytes, key: bytes) -> list[bytes]:
    """Return the references in an array of an object."""
    return re.findall(rb"\d+ 0 R", _after(content, b"/" + key + rb" \[([^\]]*)\]"))


def _own(trailer: bytes, plain: Mapping[int, bytes]) -> dict[str, int]:
    found = {"catalog": _number(trailer, b"Root "), "info": _number(trailer, b"Info ")}
    catalog = plain[found["catalog"]]
    found |= {"metadata": _number(catalog, b"Metadata "), "pages": _number(catalog, b"Pages ")}
    found["tree"] = _number(catalog, b"StructTreeRoot ")
    tree = plain[found["tree"]]
    return found | {"document": _number(tree, rb"K \["), "owners": _number(tree, b"ParentTree ")}


def _number(content: bytes, key: bytes) -> int:
    return int(_after(content, b"/" + key + rb"(\d+) 0 R"))


def _after(content: bytes, pattern: bytes) -> bytes:
    found = re.search(pattern, content)
    if found is None:
        raise ValueError(pattern)
    return found[1]


def _rows(table: bytes, widths: list[int]) -> Iterable[list[int]]:
    """Yield the rows of the table: the kind of each object, where it is, and its generation or place."""
    size = sum(widths)
    cuts = [(sum(widths[:at]), sum(widths[: at + 1])) for at in range(len(widths))]
    for at in range(0, len(table), size):
        yield [int.from_bytes(table[at + start : at + end], "big") for start, end in cuts]


def _body(content: bytes) -> bytes:
    return content[content.index(b"obj\n") + 4 : content.rindex(b"\nendobj")]


def _unpacked(content: bytes) -> tuple[bytes, bytes]:
    """Return the head of a stream and what it holds."""
    head, _mark, rest = content.partition(b"\nstream\n")
    return head, zlib.decompress(rest[: int(_after(head, rb"/Length (\d+)"))])


def _packed(content: bytes) -> Iterable[tuple[int, bytes]]:
    """Yield the objects of a compressed stream: pairs of number and place come first."""
    head, held = _unpacked(content)
    first = int(_after(head, rb"/First (\d+)"))
    pairs = [int(each) for each in held[:first].split()]
    places = [*pairs[1::2], len(held) - first + 1]
    for at, number in enumerate(pairs[::2]):
        yield number, held[first + places[at] : first + places[at + 1] - 1]
