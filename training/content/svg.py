"""What an SVG file of content may hold: shapes in three colours, and numbered markers large enough for a phone.

A drawing is served from this site, so nothing in it may run, load or refer outside; and its words stand beside it in
HTML, where they can be translated and do not shrink with the picture.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from xml.parsers import expat

NAMESPACE = "http://www.w3.org/2000/svg"
PAINTS = frozenset({"none", "#16191d", "#873800", "#ffffff"})
_BOX = frozenset({"x", "y", "width", "height"})
ELEMENTS: Mapping[str, frozenset[str]] = {
    "svg": frozenset({"xmlns", "viewBox"}),
    "g": frozenset(),
    "defs": frozenset(),
    "pattern": _BOX | {"patternUnits", "patternTransform"},
    "path": frozenset({"d"}),
    "line": frozenset({"x1", "y1", "x2", "y2"}),
    "rect": _BOX | {"rx"},
    "circle": frozenset({"cx", "cy", "r"}),
    "ellipse": frozenset({"cx", "cy", "rx", "ry"}),
    "polyline": frozenset({"points"}),
    "polygon": frozenset({"points"}),
    "text": frozenset({"x", "y", "font-size"}),
}
COMMON = frozenset(
    {"id", "fill", "fill-rule", "stroke", "stroke-width", "stroke-linecap", "stroke-linejoin", "stroke-dasharray"}
    | {"transform", "font-family", "font-weight", "text-anchor"}
)
# No colon, slash, quote or semicolon: an address or a style cannot be spelled.
VALUE = re.compile(r"[A-Za-z0-9\s.,#()+-]*\Z")
OWN = re.compile(r"url\(#([a-z][a-z0-9-]*)\)\Z")
VIEW = re.compile(r"0 0 ([1-9]\d{1,3}) ([1-9]\d{1,3})\Z")
MARK = re.compile(r"[1-9]\d?\Z|[A-Z]\Z")
# 28 units in 640: 14 px on a screen of 320.
LEAST = Fraction(28, 640)


@dataclass(slots=True)
class Svg:
    """What was found in a file: its size in user units, its markers, and (line, reason) of all that is refused."""

    width: int = 0
    height: int = 0
    marks: list[str] = field(default_factory=list)
    refused: list[tuple[int, str]] = field(default_factory=list)


class _Stop(Exception):
    """Nothing after this line is worth reading."""


def examine(text: str) -> Svg:
    """Read an SVG file and return what it holds; raises nothing, whatever it is given."""
    reader = _Reader()
    try:
        reader.parser.Parse(text.encode("utf-8", "surrogatepass"), True)
    except expat.ExpatError as error:
        reader.refuse(f"is not well-formed: {error}")
    except _Stop:
        pass
    else:
        reader.close()
    return reader.found


class _Reader:
    def __init__(self) -> None:
        self.found = Svg()
        self.rooted = False
        self.ids: set[str] = set()
        self.uses: list[tuple[int, str]] = []
        self.sizes: list[tuple[int, str]] = []
        self.words: list[str] | None = None
        self.parser = expat.ParserCreate("utf-8")
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self.doctype
        self.parser.ProcessingInstructionHandler = lambda *_: self.refuse("has a processing instruction; take it out")
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.characters

    def refuse(self, reason: str) -> None:
        self.found.refused.append((self.parser.CurrentLineNumber, reason))

    def doctype(self, *_: object) -> None:
        # Entities come from here, and an entity can hold anything or grow without end.
        self.refuse("has a document type; take it out")
        raise _Stop

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name not in ELEMENTS:
            self.refuse(f"<{name}> is not allowed; draw with {', '.join(ELEMENTS)}")
            return
        if (name == "svg") is self.rooted:
            self.refuse("needs one <svg>, around everything else")
            raise _Stop
        self.rooted = True
        for key, value in attributes.items():
            self.attribute(name, key, value)
        if name == "svg":
            self.view(attributes)
        elif name == "text":
            self.words = []
            self.sizes.append((self.parser.CurrentLineNumber, attributes.get("font-size", "")))

    def view(self, attributes: dict[str, str]) -> None:
        if attributes.get("xmlns") != NAMESPACE:
            self.refuse(f'<svg> needs xmlns="{NAMESPACE}"')
        view = VIEW.match(attributes.get("viewBox", ""))
        if view is None:
            self.refuse('<svg> needs a viewBox such as "0 0 640 480"')
        else:
            self.found.width, self.found.height = int(view[1]), int(view[2])

    def attribute(self, name: str, key: str, value: str) -> None:
        if key not in ELEMENTS[name] | COMMON:
            self.refuse(f"{key!r} is not allowed on <{name}>")
        elif key == "xmlns":
            return
        elif not VALUE.match(value):
            self.refuse(f"{key!r} of <{name}> may hold only letters, digits and . , # ( ) + -")
        elif key == "id":
            self.ids.add(value)
        elif key in ("fill", "stroke") and (own := OWN.match(value)):
            self.uses.append((self.parser.CurrentLineNumber, own[1]))
        elif key in ("fill", "stroke") and value not in PAINTS:
            self.refuse(f"{key!r} is {value!r}; use {', '.join(sorted(PAINTS))} or url(#a-pattern-of-this-file)")
        elif "url" in value:
            self.refuse(f"{key!r} of <{name}> may not refer to anything")

    def characters(self, data: str) -> None:
        if self.words is not None:
            self.words.append(data)
        elif data.strip():
            self.refuse(f"{data.strip()[:30]!r} stands outside a marker; words belong in drawings.toml")

    def end(self, name: str) -> None:
        if name != "text" or self.words is None:
            return
        mark, self.words = "".join(self.words).strip(), None
        if MARK.match(mark):
            self.found.marks.append(mark)
        else:
            self.refuse(f"{mark[:30]!r} is no marker; a <text> holds one number or one capital letter")

    def close(self) -> None:
        """Look at what can be judged only when the whole file is known."""
        for line, own in self.uses:
            if own not in self.ids:
                self.found.refused.append((line, f"'#{own}' is nothing in this file"))
        for line, size in self.sizes:
            if self.found.width and (not size.isdecimal() or int(size) < LEAST * self.found.width):
                least = -(-LEAST.numerator * self.found.width // LEAST.denominator)
                self.found.refused.append((line, f"a marker needs its own font-size of at least {least}"))
        self.found.refused.sort()
