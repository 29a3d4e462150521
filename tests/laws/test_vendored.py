"""What is shipped from elsewhere is what its note says, and the colours of the pages can be read in bright light."""

import hashlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "training" / "static" / "training"
CONTEXTS = ROOT / "certs" / "credentials" / "contexts"
NOTES = [*sorted(STATIC.rglob("VENDORED.md")), CONTEXTS / "VENDORED.md"]
STYLE = (STATIC / "ferrule.css").read_text(encoding="utf-8")
COLOURS = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", STYLE.split("/* Page */")[0]))
TEXT_ON_GROUND = [
    ("ink", "ground"),
    ("ink", "tint"),
    ("ink", "steel"),
    ("copper", "ground"),
    ("copper", "tint"),
    ("ground", "ink"),
    ("ground", "copper"),
]


def recorded(note: Path) -> dict[str, str]:
    """Return file name to SHA-256, as a note states them."""
    return {
        name: digest for digest, name in re.findall(r"\| `([0-9a-f]{64})` \| `([^`]+)` \|", note.read_text("utf-8"))
    }


def luminance(colour: str) -> float:
    """Relative luminance of `#rrggbb`: Web Content Accessibility Guidelines (WCAG) 2.2, section 6, definition."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21: WCAG 2.2, section 6, definition."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


class TestNotes:
    def test_name_all_things_shipped(self) -> None:
        """Fonts, Bootstrap, verifier, reader of codes and the contexts of credentials each have a note."""
        assert [note.parent.name for note in NOTES] == ["fonts", "bootstrap", "ed25519", "qr", "contexts"]

    @pytest.mark.parametrize("note", NOTES, ids=lambda note: note.parent.name)
    def test_give_the_checksum_of_every_file_beside_them(self, note: Path) -> None:
        """A changed, added or missing file is noticed."""
        files = [path for path in note.parent.rglob("*") if path.is_file() and path != note]
        found = {
            path.relative_to(note.parent).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files
        }
        assert found == recorded(note)


class TestStyle:
    def test_asks_for_nothing_elsewhere(self) -> None:
        """Every file the style sheets ask for lies beside them or is written into them."""
        bootstrap = (STATIC / "vendor" / "bootstrap" / "bootstrap.min.css").read_text(encoding="utf-8")
        asked = re.findall(r"url\([\"']?([^\"')]+)", STYLE + bootstrap)
        files = [name for name in asked if not name.startswith(("data:", "#"))]
        assert len(files) == 13  # Bootstrap and twelve parts of fonts
        assert all((STATIC / name).is_file() for name in files)
        assert "sourceMappingURL" not in bootstrap

    def test_names_its_colours_once(self) -> None:
        """A colour outside the list of values would escape the contrast check."""
        body = STYLE.split("/* Page */")[1].split("@media (prefers-contrast: more)")[0]
        assert re.findall(r"#[0-9a-f]{3,8}\b", body) == []
        assert not re.search(r"(?<![-a-z])color: var\(--copper-line\)", body)


class TestContrast:
    def test_follows_the_published_formula(self) -> None:
        """Black on white is 21 to 1 (WCAG 2.2, note to the definition of contrast ratio)."""
        assert contrast("#000000", "#ffffff") == pytest.approx(21)
        assert contrast("#777777", "#777777") == 1

    def test_can_fail(self) -> None:
        """Bootstrap's own red is too pale for text outdoors."""
        assert contrast("#dc3545", "#ffffff") < 7

    @pytest.mark.parametrize(("text", "ground"), TEXT_ON_GROUND)
    def test_of_text_is_seven_to_one(self, text: str, ground: str) -> None:
        """WCAG 2.2, success criterion 1.4.6, contrast (enhanced): 7 to 1."""
        assert contrast(COLOURS[text], COLOURS[ground]) >= 7

    def test_of_ornament_is_three_to_one(self) -> None:
        """WCAG 2.2, success criterion 1.4.11, non-text contrast: 3 to 1."""
        assert contrast(COLOURS["copper-line"], COLOURS["ground"]) >= 3
