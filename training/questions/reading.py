"""A number and its unit as a person types them, read exactly; what cannot be read is asked again, not marked wrong."""

import re
from dataclasses import dataclass
from fractions import Fraction

from training.questions.rounding import at_place, printed
from training.questions.spellings import UnclearUnit, read_unit
from training.questions.units import UnknownUnit, unit

LONGEST = 80
LARGEST_POWER = 30
_SPACES = (
    "\t\N{NO-BREAK SPACE}\N{THIN SPACE}\N{NARROW NO-BREAK SPACE}\N{FIGURE SPACE}\N{PUNCTUATION SPACE}\N{HAIR SPACE}"
)
_SAME = {
    **dict.fromkeys(_SPACES, " "),
    **dict.fromkeys("\N{MINUS SIGN}\N{EN DASH}\N{HYPHEN}\N{NON-BREAKING HYPHEN}\N{FULLWIDTH HYPHEN-MINUS}", "-"),
    **dict.fromkeys("×·⋅∙✕", "*"),
    **dict.fromkeys("’‘ʼ′", "'"),
    **dict.fromkeys("\N{MICRO SIGN}\N{GREEK SMALL LETTER MU}", "u"),
    **dict.fromkeys("\N{OHM SIGN}\N{GREEK CAPITAL LETTER OMEGA}", "ohm"),
    **dict.fromkeys("°º", "deg"),
    **dict(zip("０１２３４５６７８９，．％＋", "0123456789,.%+", strict=True)),
    "\N{DEGREE CELSIUS}": "degC", "\N{DEGREE FAHRENHEIT}": "degF", "\N{KELVIN SIGN}": "K", "≈": "~",
}  # fmt: skip
_TABLE = str.maketrans(_SAME)
_RAISED = re.compile("[⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+")
_LOWERED = str.maketrans("⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "+-0123456789")
_LIFTED = str.maketrans("+-0123456789", "⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_POWER = r"\(?\s*(?P<{0}>[+-]?[0-9]+)\s*\)?"
# A space belongs to the number before three more digits, or before the last one or two of a grouped decimal part.
_GAP = r"[ ](?=[0-9]{3}(?![0-9]))|(?<=[0-9]{3})[ ](?=[0-9]{1,2}(?![0-9]))"
_NUMBER = re.compile(
    rf"[=~]?\s*(?P<sign>[+-]?)\s*(?P<body>[.,]?[0-9](?:[0-9.,']|{_GAP})*)"
    rf"(?:[eE]{_POWER.format('short')}"
    rf"|\s*[*xX]\s*10\s*(?:(?:\^|\*\*)\s*{_POWER.format('long')}|(?P<bare>[+-][0-9]+)))?"
)
_BARE_TEN = re.compile(r"[=~]?\s*(?P<sign>[+-]?)\s*(?P<body>10)\s*(?:\^|\*\*)\s*" + _POWER.format("short"))
_PART = r"(?P<part>[0-9]{3}(?: [0-9]{3})*(?: [0-9]{1,2})?|[0-9]*)"
_GROUPED = re.compile(rf"(?P<whole>[0-9]{{1,3}}(?P<by>[ '])[0-9]{{3}}(?:(?P=by)[0-9]{{3}})*)(?:[.,]{_PART})?\Z")
_SPACED_PART = re.compile(rf"(?P<whole>[0-9]*)[.,]{_PART}\Z")
_BY_COMMA = re.compile(r"(?P<whole>[0-9]{1,3}(?:,[0-9]{3})+)(?:\.(?P<part>[0-9]*))?\Z")
_BY_POINT = re.compile(r"(?P<whole>[0-9]{1,3}(?:\.[0-9]{3})+)(?:,(?P<part>[0-9]*))?\Z")
_WHOLE = re.compile(r"(?P<whole>[0-9]+)(?P<part>)\Z")
_SIGNS = re.compile("[^0-9]")
_UNCLEAR = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}\Z")


class Unreadable(ValueError):
    """An answer could not be read. ``part`` is its field; ``sentence`` says what to do. No mark is lost."""

    def __init__(self, sentence: str, part: str = "") -> None:
        """Keep the sentence for the field."""
        self.part, self.sentence = part, sentence
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read: the exact value in ``unit`` (a spelling, None when none was typed).

    ``digits`` is the number as understood; ``figures`` the least and most significant figures it may have:
    the zeros that end a whole number may or may not count.
    """

    value: Fraction
    digits: str
    figures: tuple[int, int]
    unit: str | None

    def printed(self, assumed: str) -> str:
        """Return number and unit as set in text, with the assumed unit when none was typed."""
        return printed(self.digits, unit(self.unit or assumed).symbol)


def read(text: str, *, like: str = "1", tell: bool = True) -> Reading:
    """Read what a person typed into a number field. ``like`` is the unit asked for. Raises Unreadable.

    The sentence names it unless not to ``tell``: one that is not printed beside the field is part of the answer.
    """
    if len(text) > LONGEST:
        raise Unreadable(f"This is longer than {LONGEST} characters. Write one number and its unit.")
    text = (text.replace("\t", " ") if text.isascii() else _plain(text)).strip()
    if not (text.isascii() and text.isprintable()):
        raise Unreadable(
            "This holds a sign that belongs to no number or unit. Write it with plain digits, such as 3.4 V."
        )
    found = _BARE_TEN.match(text) or _NUMBER.match(text)
    if found is None:
        raise Unreadable("No number begins this answer. Write the number first, then its unit, such as 3.4 V.")
    whole, part = _split("1" if found.re is _BARE_TEN else found["body"])
    power = _power(found)
    value = at_place(int(whole + part or "0"), len(part) - power)
    digits = f"{found['sign']}{whole or '0'}{'.' if part else ''}{part}".lstrip("+")
    if power:
        digits += f" × 10{str(power).translate(_LIFTED)}"
    named = _unit(text[found.end() :].strip(" .;"), like, tell)
    return Reading(-value if found["sign"] == "-" else value, digits, figures(whole, part), named)


def _plain(text: str) -> str:
    """Write raised digits as a power, and signs that look alike as the ASCII one."""
    return _RAISED.sub(lambda found: "^" + found[0].translate(_LOWERED), text).translate(_TABLE)


def _split(body: str) -> tuple[str, str]:
    """Return the digits before and after the decimal sign, whichever of comma and point that is."""
    if _UNCLEAR.match(body):
        joined, pointed = body.replace(",", ""), body.replace(",", ".")
        raise Unreadable(
            f"{body} can mean {joined} or {pointed}. Write {joined} without a comma, or {pointed} with a point."
        )
    patterns = [_GROUPED, _SPACED_PART, _WHOLE]
    if body.count(",") + body.count(".") > 1:
        patterns = [_BY_COMMA, _BY_POINT, _GROUPED]
    for pattern in patterns:
        if found := pattern.match(body):
            whole, part = (_SIGNS.sub("", digits or "") for digits in found.group("whole", "part"))
            return whole, part
    raise Unreadable(f"The signs between the digits of {body} do not fit. Write it plainly, such as 1234.5.")


def _power(found: re.Match[str]) -> int:
    named = found.groupdict()
    power = int(named.get("short") or named.get("long") or named.get("bare") or 0)
    if abs(power) > LARGEST_POWER:
        raise Unreadable("The power of ten is far beyond any quantity here. Check it and write the number again.")
    return power


def _unit(text: str, like: str, tell: bool) -> str | None:
    if not text:
        return None
    try:
        return read_unit(text, like=like)
    except UnclearUnit as error:
        meanings = " or ".join(error.meanings)
        raise Unreadable(f"{text} can mean {meanings}. Write the one you mean.") from error
    except UnknownUnit as error:
        hint = unit(like).symbol if tell else "V"
        advice = f"Write the number and its unit, such as 3.4 {hint}." if hint else "Write the number alone."
        raise Unreadable(f"{text!r} after the number is not a unit known here. {advice}") from error


def figures(whole: str, part: str) -> tuple[int, int]:
    """Return the least and most significant figures of a number by its digits before and after the decimal sign."""
    digits = (whole + part).lstrip("0")
    return (len(digits) if part else len(digits.rstrip("0")), len(digits))
