"""The computations an author may choose from, as the pages print them."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.calc.catalogue import CATALOGUE, Entry, Slot
from training.questions.units import fits, unit

SUBJECTS: dict[str, Promise] = {
    "pack": gettext_lazy("The pack"),
    "circuit": gettext_lazy("The circuit of a shot"),
    "leads": gettext_lazy("Leads"),
    "charge": gettext_lazy("Charge and energy"),
    "day": gettext_lazy("A day's work"),
    "fuse": gettext_lazy("Fuse wire"),
    "joint": gettext_lazy("The joint and the rail"),
    "heat": gettext_lazy("Heat"),
    "eyes": gettext_lazy("Eyes"),
    "windchill": gettext_lazy("Wind and cold"),
    "hotwork": gettext_lazy("Hot work"),
    "lifting": gettext_lazy("Lifting"),
    "noise": gettext_lazy("Noise"),
    "vibration": gettext_lazy("Vibration"),
    "evidence": gettext_lazy("Trial bonds and proof"),
}


@dataclass(frozen=True, slots=True)
class Value:
    """One input or the output: what it is, its name in a question, its unit and its range in words."""

    name: str
    symbol: str
    says: str
    unit: str
    range: str


@dataclass(frozen=True, slots=True)
class Slip:
    """A known mistake, and the values it needs that the right computation does not take."""

    key: str
    says: str
    more: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Computation:
    """One computation of the list."""

    key: str
    title: str
    inputs: tuple[Value, ...]
    output: Value
    source: str
    slips: tuple[Slip, ...]


@dataclass(frozen=True, slots=True)
class Subject:
    """The computations of one subject."""

    slug: str
    title: str
    computations: tuple[Computation, ...]


def catalogue() -> tuple[Subject, ...]:
    """Return every computation by subject, in the order of the catalogue."""
    return tuple(
        Subject(slug, str(SUBJECTS.get(slug, slug)), tuple(computation(entry.key) for entry in entries))
        for slug, entries in groupby(_right(), key=lambda entry: entry.key.partition(".")[0])
    )


def computation(key: str) -> Computation:
    """Return one computation of the catalogue."""
    entry = CATALOGUE[key]
    taken = {slot.name for slot in entry.inputs}
    slips = (one for one in CATALOGUE.values() if one.mistake_of == key)
    return Computation(
        key=key,
        title=entry.title,
        inputs=tuple(map(_value, entry.inputs)),
        output=_value(entry.output),
        source=f"{entry.source} ({entry.tag})",
        slips=tuple(
            Slip(one.key, one.says, tuple(slot.name for slot in one.inputs if slot.name not in taken)) for one in slips
        ),
    )


def computations(*, fitting: str = "") -> list[tuple[str, list[tuple[str, str]]]]:
    """Return choices by subject of the computations that give what the unit `fitting` measures, or of all."""
    found: dict[str, list[tuple[str, str]]] = {}
    for entry in _right():
        if not fitting or fits(entry.output.unit, fitting):
            subject = entry.key.partition(".")[0]
            found.setdefault(str(SUBJECTS.get(subject, subject)), []).append((entry.key, _label(entry)))
    return list(found.items())


def _right() -> Iterator[Entry]:
    return (entry for entry in CATALOGUE.values() if entry.mistake_of is None)


def _label(entry: Entry) -> str:
    names = ", ".join(slot.name for slot in entry.inputs)
    return _("%(title)s, from %(names)s") % {"title": entry.title, "names": names} if names else entry.title


def _value(slot: Slot) -> Value:
    symbol = unit(slot.unit).symbol
    ends = {"low": _figure(slot.low), "high": _figure(slot.high)}
    words = ""
    if slot.low is not None and slot.high is not None:
        words = _("%(low)s to %(high)s") % ends
    elif slot.low is not None:
        words = _("from %(low)s") % ends
    elif slot.high is not None:
        words = _("up to %(high)s") % ends
    if slot.whole:
        words = _("%(words)s, whole") % {"words": words} if words else _("whole")
    return Value(slot.name, slot.symbol, slot.says, symbol, words)


def _figure(number: float | None) -> str:
    """Write a limit without the exponents of a computer: up to 100000, not 1e+05."""
    return "" if number is None else f"{number:.6f}".rstrip("0").rstrip(".").replace("-", "−")
