"""What fits on a card: texts of any length shrink by steps, then are refused with a sentence."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.printing.pdf import missing, width
from training.printing.rules import LEADING, PT, Fit, Room, language_of, largest, lines, right_to_left, tidy

# Boxes of card.css that hold text of any length: weight, width and height in mm, sizes in pt.
BOXES: Mapping[str, tuple[int, Room]] = {
    "issuer": (600, Room(41.6, 5.1, (7.5, 7, 6.5, 6))),
    "scheme": (700, Room(41.6, 6.8, (10, 9, 8, 7))),
    # The height left for the name when issuer and scheme fill theirs; `front` adds what they do not use.
    "holder": (700, Room(44.8, 8.3, (15, 13, 11, 10, 9, 8, 7))),
    "scope": (400, Room(76.4, 8.3, (7.5, 7, 6.5, 6))),
    "zone": (600, Room(45.4, 2.6, (6,))),
    "limits": (400, Room(76.4, 0, (7.5, 7, 6.5, 6))),
}
NAMES: Mapping[str, str | Promise] = {
    "issuer": gettext_lazy("name of the issuer"),
    "scheme": gettext_lazy("title of the scheme"),
    "holder": gettext_lazy("name of the holder"),
    "scope": gettext_lazy("scope"),
    "zone": gettext_lazy("name of the time zone"),
    "limits": gettext_lazy("text of the limits"),
}
# The back: its height, how wide text is beside a photo and how far down, the type of its fixed words, and the space
# after each paragraph.
BACK = 47.9
BACK_BESIDE_PHOTO = 57.4
PHOTO_DOWN = 22.5
FIXED = (6.5, 6)
GAP, RULED = 0.9, 3.2
HEADING = 6 * LEADING * PT
HAIR = 0.001


class CannotPrint(ValueError):
    """This card cannot be printed; the message is a sentence that says why."""


@dataclass(frozen=True, slots=True)
class Text:
    """A text as it is printed: its words, the class of its type, its language and whether it runs from the right."""

    words: str
    size: str
    language: str
    rtl: bool


def front(texts: Mapping[str, str]) -> dict[str, Text]:
    """Fit the texts of the front, the name last of those above it. Raises CannotPrint."""
    made: dict[str, Text] = {}
    spare = 0.0
    for name, words in texts.items():
        fit = size_of(name, tidy(words), spare if name == "holder" else 0)
        made[name] = _text(words, fit)
        spare += BOXES[name][1].height - fit.used
    return made


def back(limits: str, first: str, others: tuple[str, ...], *, photo: bool) -> tuple[Text, str, int]:
    """Fit the limits into what the fixed words of the back leave: `first` is bold between two rules.

    Return the limits, the class of the fixed words, which take smaller type before the limits are refused, and how many
    paragraphs of them stand beside the photo; those below it run across the whole card. Raises CannotPrint.
    """
    across = BACK_BESIDE_PHOTO if photo else BOXES["limits"][1].across
    heading = HEADING + GAP if limits else 0
    refusal = CannotPrint(_("The name of the issuer is too long for the back of a card. Enter a shorter one."))
    for size in FIXED:
        if _fixed(heading, first, others, size, photo=False)[0] > BACK:
            continue
        spare = BACK - heading
        try:
            while True:
                fit = size_of("limits", tidy(limits), spare, across=across)
                end, beside = _fixed(heading + fit.used, first, others, size, photo=photo)
                if end <= BACK:
                    return _text(limits, fit), _class(size), beside
                # The next smaller type of the limits, which lets the fixed words begin further up.
                spare = fit.used - HAIR
        except CannotPrint as too_long:
            refusal = too_long
    raise refusal


def _fixed(start: float, first: str, others: tuple[str, ...], size: float, *, photo: bool) -> tuple[float, int]:
    """Return where the fixed words end that begin at a height, in mm, and how many of them begin beside the photo."""
    end, beside = start, 0
    for words, weight, more in ((first, 700, RULED), *((each, 400, GAP) for each in others)):
        narrow = photo and end < PHOTO_DOWN
        beside += narrow
        across = BACK_BESIDE_PHOTO if narrow else BOXES["limits"][1].across
        end += _height(words, weight, across, size) + more
    return end, beside


@lru_cache(maxsize=4096)
def size_of(box: str, text: str, spare: float = 0, *, across: float = 0) -> Fit:
    """Return how a text fits its box, `spare` mm higher or `across` mm wide instead. Raises CannotPrint."""
    weight, room = BOXES[box]
    if strange := missing(text, weight):
        sentence = _("The typefaces of the card have no %(letters)s. Enter the %(box)s in other letters.")
        raise CannotPrint(sentence % {"letters": " ".join(strange), "box": NAMES[box]})
    wanted = Room(across or room.across, room.height, room.sizes)
    fit = largest(text, lambda part: width(part, weight), wanted, spare=spare)
    if fit is None:
        raise CannotPrint(_("The %(box)s is too long for a card. Enter a shorter one.") % {"box": NAMES[box]})
    return fit


@lru_cache(maxsize=1024)
def _height(words: str, weight: int, across: float, size: float) -> float:
    """Return the height of a paragraph of fixed words, in mm; past all bounds when a word alone is too wide."""
    count = lines(words, lambda part: width(part, weight), across / (size * PT))
    return float("inf") if count is None else count * size * LEADING * PT


def _text(words: str, fit: Fit) -> Text:
    return Text(tidy(words), _class(fit.size), language_of(words), right_to_left(words))


def _class(size: float) -> str:
    return f"pt-{size * 10:.0f}"
