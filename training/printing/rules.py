"""How text falls into lines, and which type it fits in: pure, over a function that measures.

Every count here is an upper bound. Line breaks are taken only where Unicode Standard Annex 14 surely allows them, so
that a printed text may take fewer lines than counted and never more.
"""

import re
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

# From a text to its width in em.
Width = Callable[[str], float]

PT = 25.4 / 72  # mm
LEADING = 1.2
# A line may break after a hyphen between letters (Unicode Standard Annex 14, classes HY and AL).
AFTER_HYPHEN = re.compile(r"(?<=\w-)(?=[^\W\d])")
# Letters of class CJ and NS, before which a line does not start.
NO_START = frozenset("ぁぃぅぇぉっゃゅょゎゕゖァィゥェォッャュョヮヵヶーゝゞヽヾ々〻")
RIGHT_TO_LEFT = frozenset({"R", "AL"})


@dataclass(frozen=True, slots=True)
class Room:
    """Where a text stands: its width and height in mm, and the sizes of type in pt to try in turn."""

    across: float
    height: float
    sizes: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Fit:
    """The size of type in pt, and the height in mm that the lines then take."""

    size: float
    used: float


def tidy(text: str) -> str:
    """Return a text with one plain space between its words, as it is measured and printed."""
    return " ".join(text.split())


def largest(text: str, width: Width, room: Room, *, spare: float = 0) -> Fit | None:
    """Return the first size in which a text fits, the room being `spare` mm higher; None when it fits in none."""
    for size in room.sizes:
        count = lines(text, width, room.across / (size * PT))
        used = (count or 0) * size * LEADING * PT
        if count is not None and used <= room.height + spare:
            return Fit(size, used)
    return None


def lines(text: str, width: Width, ems: float) -> int | None:
    """Count the lines a text takes in a width given in em; None when a part that cannot be broken is wider."""
    space, count, used = width(" "), 0, 0.0
    for spaced, piece in pieces(text):
        wide = width(piece)
        if wide > ems:
            return None
        gap = space if spaced else 0.0
        if count and used + gap + wide <= ems:
            used += gap + wide
        else:
            count, used = count + 1, wide
    return count


def pieces(text: str) -> Iterator[tuple[bool, str]]:
    """Yield the parts of a text that stay whole, each with whether a space stands before it."""
    for word in text.split():
        spaced = True
        for part in AFTER_HYPHEN.split(word):
            for piece in _signs(part):
                yield spaced, piece
                spaced = False


def _signs(part: str) -> Iterator[str]:
    """Cut between two signs that each stand for themselves; all other marks stay with their neighbours."""
    start = 0
    for at in range(1, len(part)):
        if _free(part[at - 1]) and _free(part[at]) and part[at] not in NO_START:
            yield part[start:at]
            start = at
    yield part[start:]


def _free(sign: str) -> bool:
    """Say whether a line may break on both sides of a sign: ideographs, syllables of Korean, kana (UAX 14, ID)."""
    return unicodedata.east_asian_width(sign) == "W" and unicodedata.category(sign) in {"Lo", "Lm"}


def right_to_left(text: str) -> bool:
    """Say whether the first letter with a direction is written from the right (Unicode Standard Annex 9, rule P2)."""
    strong = (unicodedata.bidirectional(sign) for sign in text)
    return next((way in RIGHT_TO_LEFT for way in strong if way in RIGHT_TO_LEFT | {"L"}), False)


def language_of(text: str) -> str:
    """Return the language whose forms of ideographs a text wants, as a BCP 47 tag; empty where it has none.

    Kana and Korean syllables tell; otherwise the first character set that holds the text does, JIS X 0208 first where
    GB 2312 lacks a sign. A text that both hold could be either and is taken for simplified Chinese.
    """
    names = [unicodedata.name(sign, "") for sign in text]
    if any(name.startswith("HANGUL") for name in names):
        return "ko"
    if any(name.startswith(("HIRAGANA", "KATAKANA")) for name in names):
        return "ja"
    ideographs = "".join(sign for sign, name in zip(text, names, strict=True) if name.startswith("CJK UNIFIED"))
    if not ideographs:
        return ""
    tags: Sequence[tuple[str, str]] = (("gb2312", "zh-Hans"), ("cp932", "ja"), ("big5", "zh-Hant"))
    return next((tag for codec, tag in tags if _holds(codec, ideographs)), "zh-Hans")


def _holds(codec: str, text: str) -> bool:
    try:
        text.encode(codec)
    except UnicodeEncodeError:
        return False
    return True
