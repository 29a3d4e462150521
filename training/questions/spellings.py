"""Units as people type them: words, capitals, degree signs. What could mean two things is refused, not guessed."""

import re
from collections.abc import Mapping
from functools import lru_cache

from training.questions.units import ATOMS, THERMAL, UnknownUnit, factors, unit

_PREFIX_WORDS = {"nano": "n", "micro": "u", "milli": "m", "centi": "c", "kilo": "k", "mega": "M"}
_WORDS = {
    "volt": "V", "ampere": "A", "amp": "A", "ohm": "ohm", "watt": "W", "joule": "J", "coulomb": "C", "hertz": "Hz",
    "second": "s", "sec": "s", "minute": "min", "min": "min", "hour": "h", "hr": "h", "day": "day", "newton": "N",
    "metre": "m", "meter": "m", "inche": "in", "inch": "in", "foot": "ft", "feet": "ft", "mile": "mile", "pascal": "Pa",
    "gram": "g", "gramme": "g", "pound": "lb", "lb": "lb", "litre": "l", "liter": "l", "decibel": "dB", "percent": "%",
    "celsiu": "degC", "celsius": "degC", "centigrade": "degC", "fahrenheit": "degF", "kelvin": "K",
    "shot": "shots", "bond": "bonds", "pack": "packs", "pin": "pins", "person": "people",
}  # fmt: skip
_REWRITES = (
    (re.compile(r"\bper\s*cent\b", re.I), "percent"),
    (re.compile(r"\s*\bper\b\s*", re.I), "/"),
    (re.compile(r"\b(?:square|sq\.?)\s*([a-z]+)", re.I), r"\1^2"),
    (re.compile(r"\bdb\s*\(a\)", re.I), "dBA"),
    (re.compile(r"\bdeg(?:rees?)?\.?\s*", re.I), "deg"),
    (re.compile(r"\bdeg([cfk])\b|\bdeg(celsius|fahrenheit)\b", re.I), lambda found: _degrees(found[1] or found[2])),
    (re.compile(rf"\b({'|'.join(_PREFIX_WORDS)})[\s-]+", re.I), r"\1"),
    (re.compile(r"\s*([*/()])\s*"), r"\1"),
    (re.compile(r"\s+"), "*"),
)


class UnclearUnit(ValueError):
    """The spelling could be more than one unit; ``meanings`` lists them as printed."""

    def __init__(self, meanings: list[str]) -> None:
        """Keep the printed symbols of the units it could be."""
        self.meanings = meanings
        super().__init__(" or ".join(meanings))


def _degrees(letter: str) -> str:
    return {"c": "degC", "f": "degF", "k": "K"}[letter[0].lower()]


def _folded() -> Mapping[str, list[str]]:
    found: dict[str, list[str]] = {}
    for spelling in ATOMS:
        found.setdefault(spelling.casefold(), []).append(spelling)
    return found


_FOLDED = _folded()


@lru_cache(maxsize=1024)
def read_unit(text: str, *, like: str = "1") -> str:
    """Return the spelling of the unit a person typed (printable ASCII, micro as u, ohm as a word).

    ``like`` is the unit asked for: "C" is a temperature beside a temperature and coulombs otherwise.
    Raises UnknownUnit, or UnclearUnit for a spelling such as MOHM, which may be milli or mega.
    """
    if like in THERMAL and text.casefold() in ("c", "f", "k"):
        return _degrees(text)
    if text in ATOMS and text != "1":
        return text
    for pattern, replacement in _REWRITES:
        text = pattern.sub(replacement, text)
    pairs = [(_atom(atom), power) for atom, power in factors(text)]
    # A stray 1 is a digit that slipped in; only 1/K and its kin begin with one.
    if "1" in [atom for atom, _ in pairs[1:]] or pairs[0] == ("1", 1) == pairs[-1]:
        raise UnknownUnit(text)
    spelling = "*".join(atom if power == 1 else f"{atom}{power}" for atom, power in pairs)
    return unit(spelling).spelling


def _atom(token: str) -> str:
    if token in ATOMS:
        return token
    word = token.casefold()
    for name in (word, word.removesuffix("s")):
        if name in _WORDS:
            return _WORDS[name]
        for prefix, letter in _PREFIX_WORDS.items():
            known = _WORDS.get(name.removeprefix(prefix)) if name.startswith(prefix) else None
            if known and letter + known in ATOMS:
                return letter + known
    found = _FOLDED.get(word, [])
    # A small m is never meant as mega; a capital one may be a stuck shift key.
    meant = [spelling for spelling in found if token[0] != "m" or spelling[0] == "m"]
    if len(meant) > 1:
        raise UnclearUnit([ATOMS[spelling].symbol for spelling in meant])
    if not meant:
        raise UnknownUnit(token)
    return meant[0]
