"""The typefaces that are printed with, and how wide they set a text."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

FONTS = Path(__file__).resolve().parents[2] / "static" / "training" / "fonts"
# By weight, in the order in which a letter is looked for. The order is that of font-family in the style sheets.
FACES: Mapping[int, tuple[str, ...]] = {
    400: ("ttf/OpenSans-Regular.ttf", "noto/NotoSansArabic-Regular.ttf", "noto/NotoSansCJKsc-Regular.otf"),
    600: ("ttf/OpenSans-Semibold.ttf", "noto/NotoSansArabic-Bold.ttf", "noto/NotoSansCJKsc-Bold.otf"),
    700: ("ttf/OpenSans-Bold.ttf", "noto/NotoSansArabic-Bold.ttf", "noto/NotoSansCJKsc-Bold.otf"),
}
FILES: Mapping[str, Path] = {FONTS.joinpath(name).name: FONTS / name for names in FACES.values() for name in names}


def missing(text: str, weight: int) -> list[str]:
    """Return the letters that none of the typefaces has."""
    return sorted({sign for sign in text if not sign.isspace() and not _advance(sign, weight)})


def width(text: str, weight: int) -> float:
    """Return the most that a text can take, in em: kerning and joining of letters only make it less."""
    return sum(max(_advance(sign, weight), default=0.0) for sign in text)


@cache
def _advance(sign: str, weight: int) -> tuple[float, ...]:
    """Return the widest form of a letter in the typeface that has it, in em; empty when none has.

    A space or a stop may be set in the typeface of its neighbours, so of these every typeface counts.
    """
    found = tuple(wide for name in FACES[weight] if (wide := _widest(name, ord(sign))) is not None)
    return found[:1] if sign.isalpha() else found


@cache
def _widest(name: str, sign: int) -> float | None:
    font = _font(name)
    glyph = font.getBestCmap().get(sign)
    if glyph is None:
        return None
    return float(_spread(name, glyph, frozenset())) / float(font["head"].unitsPerEm)


def _spread(name: str, glyph: str, seen: frozenset[str]) -> int:
    """Return the advance of the widest form that joining may give a glyph."""
    own = int(_font(name)["hmtx"][glyph][0])
    if glyph in seen:
        return own
    forms = _forms(name).get(glyph, ())
    return max(own, *(sum(_spread(name, part, seen | {glyph}) for part in form) for form in forms), 0)


@cache
def _forms(name: str) -> Mapping[str, tuple[tuple[str, ...], ...]]:
    """Return what each glyph may be replaced by on its own (OpenType GSUB, lookup types 1 and 2)."""
    found: dict[str, tuple[tuple[str, ...], ...]] = {}
    font = _font(name)
    if "GSUB" not in font or name.startswith("ttf/") or name.endswith(".otf"):
        # Our Latin typeface asks for no such form, and ideographs of every country are one em wide.
        return found
    for lookup in font["GSUB"].table.LookupList.Lookup:
        for table in lookup.SubTable:
            inner: Any = getattr(table, "ExtSubTable", table)
            if inner.LookupType in {1, 2}:
                for glyph, form in inner.mapping.items():
                    found[glyph] = (*found.get(glyph, ()), (form,) if isinstance(form, str) else tuple(form))
    return found


@cache
def _font(name: str) -> "TTFont":
    from fontTools.ttLib import TTFont  # noqa: PLC0415

    return TTFont(FONTS / name, lazy=True)
