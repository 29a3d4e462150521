"""Drawings read with their words, and everything an SVG file may not hold."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from training.content.drawings import LARGEST, DrawingSpec, drawings, unmatched
from training.content.load import read_content
from training.content.mistakes import ContentErrors, Mistake
from training.content.svg import examine
from training.content.table import Table

SVG = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 480">
<defs><pattern id="steel" width="8" height="8" patternUnits="userSpaceOnUse"><path d="M0 0L8 8"/></pattern></defs>
<!-- the pin -->
<g stroke="#16191d"><rect x="10" y="10" width="30" height="-1" fill="url(#steel)"/></g>
<text x="40" y="50" font-size="30">1</text>
<text x="80" y="50" font-size="28">V</text>
</svg>"""
WORDS: dict[str, Any] = {
    "name": "pin", "title": "Pin", "description": "A pin.", "labels": ["Meter on V"]
}  # fmt: skip


def read(rows: object, files: Mapping[str, bytes]) -> tuple[tuple[DrawingSpec, ...], list[str]]:
    """Read a table of drawings; return the specs and the mistakes as printed."""
    mistakes: list[Mistake] = []
    specs = drawings(Table({"drawing": rows}, file="setup/drawings/drawings.toml", path="", mistakes=mistakes), files)
    return specs, [str(mistake) for mistake in mistakes]


def said(svg: str) -> list[str]:
    """Return why a file is refused."""
    return [reason for _line, reason in examine(svg).refused]


def with_inside(inside: str) -> str:
    """Return a sound file with something added on its second line."""
    return SVG.replace("<defs>", f"{inside}<defs>", 1)


class TestDrawings:
    def test_reads_a_drawing_with_its_words(self) -> None:
        """The SVG text, its size and the labels are in the spec."""
        specs, mistakes = read([WORDS], {"pin": SVG.encode()})
        assert mistakes == []
        assert specs == (
            DrawingSpec(
                name="pin", title="Pin", description="A pin.", labels=("Meter on V",), width=640, height=480, svg=SVG
            ),
        )

    def test_goes_into_the_digest_with_its_svg(self) -> None:
        """A changed line of a drawing is a changed drawing."""
        one, two = (read([WORDS], {"pin": svg.encode()})[0][0] for svg in (SVG, SVG.replace("30", "31")))
        assert one.as_json()["svg"] == SVG
        assert one.digest != two.digest

    def test_lists_every_mistake_at_once(self) -> None:
        """Missing words, a missing file, a file without words, a name used twice."""
        rows = [{"name": "pin", "title": "", "colour": "red"}, {**WORDS, "name": "gone"}, {**WORDS, "name": "gone"}]
        _specs, mistakes = read(rows, {"pin": SVG.encode(), "stray": SVG.encode()})
        assert mistakes == [
            "setup/drawings/drawings.toml: drawing[pin].title: is empty; write text",
            "setup/drawings/drawings.toml: drawing[pin].description: is missing; write text",
            "setup/drawings/drawings.toml: drawing[pin].colour: is not a key known here; check its spelling",
            "setup/drawings/drawings.toml: drawing[pin].labels: marker 1 has no label",
            "setup/drawings/drawings.toml: drawing[pin].labels: the letter V is spoken of in no label",
            "setup/drawings/drawings.toml: drawing[gone].name: there is no file setup/drawings/gone.svg",
            "setup/drawings/drawings.toml: drawing[gone].name: there is no file setup/drawings/gone.svg",
            "setup/drawings/drawings.toml: drawing: 'gone' is written 2 times; each must be different",
            "setup/drawings/stray.svg: has no [[drawing]] in setup/drawings/drawings.toml",
        ]

    def test_asks_for_a_name(self) -> None:
        """Without one nothing else can be found, and that is said once."""
        _specs, mistakes = read([{**WORDS, "name": ""}], {})
        assert mistakes == ["setup/drawings/drawings.toml: drawing[].name: is empty; write text"]

    def test_asks_for_a_marker_for_each_label(self) -> None:
        """A label that points at nothing leaves the reader searching."""
        _specs, mistakes = read([{**WORDS, "labels": ["Meter on V", "Pin"]}], {"pin": SVG.encode()})
        assert mistakes == ["setup/drawings/drawings.toml: drawing[pin].labels: label 2 has no marker in the drawing"]

    def test_refuses_a_file_that_is_too_large(self) -> None:
        """A phone on a weak signal has to fetch it."""
        big = SVG.encode() + b" " * LARGEST
        _specs, mistakes = read([WORDS], {"pin": big})
        assert mistakes == ["setup/drawings/pin.svg: is larger than 40000 bytes; draw it with fewer shapes"]

    def test_refuses_a_file_that_is_no_text(self) -> None:
        """Another encoding than UTF-8 is said so."""
        _specs, mistakes = read([WORDS], {"pin": b"\xff\xfe"})
        assert mistakes == ["setup/drawings/pin.svg: is not UTF-8: invalid start byte"]

    def test_names_the_line_of_a_mistake(self) -> None:
        """An author can go to it."""
        _specs, mistakes = read([WORDS], {"pin": with_inside("<image/>").encode()})
        assert mistakes[0].startswith("setup/drawings/pin.svg: line 2: <image> is not allowed; draw with svg, g, ")


class TestFolder:
    """Drawings beside their module, read from a folder of content."""

    MODULE = """
language = "en"
slug = "setup"
title = "Set up"
order = 1
purpose = "To be ready."
changed = "First issue."
tools = ["Pin"]
stops = ["Rain"]
sources = ["common practice"]
[[step]]
slug = "load"
title = "Load"
text = "Press it home."
why = "It must not fall."
drawing = "pin"
"""
    TOLD = '[[drawing]]\nname = "pin"\ntitle = "Pin"\ndescription = "A pin."\nlabels = ["Meter on V"]\n'

    def write(self, root: Path, **files: str) -> Path:
        """Write the module, and its drawings by name."""
        folder = root / "setup" / "drawings"
        folder.mkdir(parents=True)
        (root / "setup" / "procedure.toml").write_text(self.MODULE, encoding="utf-8")
        for name, text in files.items():
            (folder / name.replace("_", ".")).write_text(text, encoding="utf-8")
        return root

    def refused(self, root: Path) -> list[str]:
        """Return the mistakes of a folder."""
        with pytest.raises(ContentErrors) as caught:
            read_content(root)
        return [str(mistake) for mistake in caught.value.mistakes]

    def test_are_frozen_with_the_module(self, tmp_path: Path) -> None:
        """A revision is the text and the pictures."""
        (module,) = read_content(self.write(tmp_path / "a", drawings_toml=self.TOLD, pin_svg=SVG)).modules
        assert [drawing["svg"] for drawing in module.as_json()["drawings"]] == [SVG]
        redrawn = self.write(tmp_path / "b", drawings_toml=self.TOLD, pin_svg=SVG.replace("-1", "5"))
        assert read_content(redrawn).modules[0].digest != module.digest

    def test_says_where_words_are_missing(self, tmp_path: Path) -> None:
        """A file alone is a stray, and the step finds nothing."""
        assert self.refused(self.write(tmp_path, pin_svg=SVG)) == [
            "setup/drawings/pin.svg: has no [[drawing]] in setup/drawings/drawings.toml",
            "setup/procedure.toml: step[load].drawing: 'pin' is no drawing of drawings/drawings.toml",
        ]

    def test_says_only_that_the_words_cannot_be_read(self, tmp_path: Path) -> None:
        """A broken drawings.toml is one mistake, not one for each step and file."""
        (line,) = self.refused(self.write(tmp_path, drawings_toml="[[drawing", pin_svg=SVG))
        assert line.startswith("setup/drawings/drawings.toml: cannot be read: ")

    def test_reads_no_more_of_a_huge_file_than_it_must(self, tmp_path: Path) -> None:
        """It is refused like any file that is too large."""
        huge = self.write(tmp_path, drawings_toml=self.TOLD, pin_svg=SVG + " " * 1_000_000)
        assert self.refused(huge) == ["setup/drawings/pin.svg: is larger than 40000 bytes; draw it with fewer shapes"]


class TestUnmatched:
    def test_finds_names_in_vain_and_drawings_unused(self) -> None:
        """Each step's drawing exists, each drawing is shown; a step without one is fine."""
        specs, _mistakes = read([WORDS, {**WORDS, "name": "earth"}], {"pin": SVG.encode(), "earth": SVG.encode()})
        assert list(unmatched({"load": "pin", "look": "", "fit": "erth"}, specs)) == [
            ("step[fit].drawing", "'erth' is no drawing of drawings/drawings.toml"),
            ("step", "none shows the drawing 'earth'; name it in a step or take it out"),
        ]


class TestExamine:
    def test_accepts_a_sound_file(self) -> None:
        """Comments are welcome: they tell the next author what is drawn."""
        found = examine(SVG)
        assert (found.width, found.height, found.marks, found.refused) == (640, 480, ["1", "V"], [])

    # The list of what can run or load is that of SVG 2 (W3C): scripts, event attributes, links, foreign content.
    @pytest.mark.parametrize(
        "inside",
        [
            "<script>alert(1)</script>",
            "<style>rect{fill:red}</style>",
            "<foreignObject><p/></foreignObject>",
            '<a href="x"/>',
            '<image href="x.png"/>',
            '<use href="#steel"/>',
            '<animate attributeName="x"/>',
            '<set attributeName="x"/>',
            "<title>Pin</title>",
            "<SCRIPT/>",
            '<x:script xmlns:x="http://www.w3.org/2000/svg"/>',
        ],
    )
    def test_refuses_elements_that_are_no_shapes(self, inside: str) -> None:
        """Whatever is not on the list is refused by name."""
        assert any("is not allowed; draw with" in reason for reason in said(with_inside(inside)))

    @pytest.mark.parametrize(
        "attribute",
        [
            'onload="alert(1)"',
            'onclick="x"',
            'style="fill:red"',
            'href="x"',
            'xlink:href="x"',
            'xml:base="x"',
            'class="x"',
            'filter="x"',
        ],
    )
    def test_refuses_attributes_beyond_geometry_and_paint(self, attribute: str) -> None:
        """Handlers, styles and references have no place."""
        assert any("is not allowed on <g>" in reason for reason in said(with_inside(f"<g {attribute}/>")))

    @pytest.mark.parametrize(
        ("attribute", "reason"),
        [
            ('fill="url(http://x/y)"', "'fill' of <g> may hold only letters, digits and . , # ( ) + -"),
            ('fill="url(data:x)"', "'fill' of <g> may hold only letters, digits and . , # ( ) + -"),
            ('fill="url(#none)"', "'#none' is nothing in this file"),
            ('transform="url(#steel)"', "'transform' of <g> may not refer to anything"),
            (
                'stroke="red"',
                "'stroke' is 'red'; use #16191d, #873800, #ffffff, none or url(#a-pattern-of-this-file)",
            ),
        ],
    )
    def test_refuses_foreign_paint_and_references(self, attribute: str, reason: str) -> None:
        """Ink, copper and white; hatching from the file itself."""
        assert said(with_inside(f"<g {attribute}/>")) == [reason]

    @pytest.mark.parametrize(
        ("text", "reason"),
        [
            ("Pin", "'Pin' is no marker; a <text> holds one number or one capital letter"),
            ("0", "'0' is no marker; a <text> holds one number or one capital letter"),
            ("240", "'240' is no marker; a <text> holds one number or one capital letter"),
            ("", "'' is no marker; a <text> holds one number or one capital letter"),
            ("٣", "'٣' is no marker; a <text> holds one number or one capital letter"),
        ],
    )
    def test_refuses_words_in_the_picture(self, text: str, reason: str) -> None:
        """They would shrink on a phone and could not be translated."""
        assert said(with_inside(f'<text font-size="30">{text}</text>')) == [reason]

    def test_refuses_words_between_the_shapes(self) -> None:
        """Text outside a marker would be kept, and never seen."""
        assert said(with_inside("hello")) == ["'hello' stands outside a marker; words belong in drawings.toml"]

    @pytest.mark.parametrize("size", ["", 'font-size="27"', 'font-size="2em"', 'font-size="28.5"'])
    def test_asks_for_markers_that_can_be_read_at_320_pixels(self, size: str) -> None:
        """28 units in 640 are 14 px on the smallest screen."""
        assert said(with_inside(f"<text {size}>2</text>")) == ["a marker needs its own font-size of at least 28"]

    @pytest.mark.parametrize(
        "box", ['viewBox="0 0 640"', 'viewBox="-1 0 640 480"', 'viewBox="0 0 99999 480"', 'width="640"', ""]
    )
    def test_asks_for_a_view_box(self, box: str) -> None:
        """Without it a drawing has no shape to scale."""
        assert '<svg> needs a viewBox such as "0 0 640 480"' in said(SVG.replace('viewBox="0 0 640 480"', box))

    @pytest.mark.parametrize("text", ["<g/>", with_inside("<svg/>")])
    def test_asks_for_one_svg_around_everything(self, text: str) -> None:
        """Another root is no drawing; an inner one would have a size of its own."""
        assert said(text) == ["needs one <svg>, around everything else"]

    def test_asks_for_the_namespace(self) -> None:
        """Without it a browser shows the file as text."""
        assert said(SVG.replace("http://www.w3.org/2000/svg", "x")) == [
            '<svg> needs xmlns="http://www.w3.org/2000/svg"'
        ]

    def test_stops_at_a_document_type(self) -> None:
        """No entity is ever expanded, however many times it is nested."""
        bomb = '<!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]><svg>&b;</svg>'
        assert said(bomb) == ["has a document type; take it out"]

    def test_refuses_a_processing_instruction(self) -> None:
        """A style sheet can be called in by one."""
        assert said('<?xml-stylesheet href="x"?>' + SVG) == ["has a processing instruction; take it out"]

    @pytest.mark.parametrize("text", ["", "<svg>", "<svg></g>", "plain", "&b;", "\ud800"])
    def test_refuses_what_is_no_xml(self, text: str) -> None:
        """Broken files are a mistake like any other."""
        assert any(reason.startswith("is not well-formed: ") for reason in said(text))
