"""What people type into pages, made fit for every database and for the readers of content."""

import re

LONGEST = 4000
_SIGNS = str.maketrans({"−": "-", "\u00a0": "", "\u202f": "", " ": ""})
# One comma before one, two or four and more digits can only be a decimal comma; 1,250 may be a thousand and more.
_COMMA = re.compile(r"-?[0-9]+,(?:[0-9]{1,2}|[0-9]{4,})\Z")
_NUMBER = re.compile(r"[-+]?[0-9.,]+\Z")
_VERB = re.compile(r"(?:is|must|needs|makes|may|holds|cannot|belongs)\b")

# A field that was left empty: what a file lacks as a kind of value, a form lacks as something to write.
_EMPTY = re.compile(r"is (?:missing|empty); write (.+)\Z")
_ASKED = {"text": "Write something here", "a list of texts": "Write at least one line", "": "Give {}"}


def plain(text: str) -> str:
    """Return text without NUL and halves of characters, with plain line ends, at most LONGEST long."""
    whole = text.encode("utf-8", "replace").decode("utf-8").replace("\x00", "")
    return whole.replace("\r\n", "\n").replace("\r", "\n")[:LONGEST].strip()


def number(text: str) -> str:
    """Return a number as Python reads it: a decimal comma, a proper minus sign and spaces between digits are fine.

    What is no number stays as typed, to be refused.
    """
    found = text.translate(_SIGNS)
    if not _NUMBER.match(found):
        return text
    return found.replace(",", ".") if _COMMA.match(found) else found


def sentence(reason: str) -> str:
    """Return what is wrong with a value, the reason of a mistake, as a sentence about it for who fills in a form."""
    if empty := _EMPTY.match(reason):
        return f"{_ASKED.get(empty[1], _ASKED['']).format(empty[1])}."
    begun = f"This {reason}" if _VERB.match(reason) else reason[:1].upper() + reason[1:]
    return f"{begun}."
