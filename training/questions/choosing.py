"""Choices and orders, all or nothing: sharing out marks by option would let a blind guess earn half.

(Of five options with two right, a blind guess is wholly right once in 32 and judges half of the options rightly.)
An unsafe choice earns nothing under any rule and is flagged for the trainer.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations

from training.questions.item import Part
from training.questions.marks import PartMark
from training.questions.reading import Unreadable
from training.questions.rounding import printed
from training.questions.specs import Ask
from training.questions.units import unit


def read_choice(part: Part, response: str | Sequence[str]) -> tuple[str, ...]:
    """Return the chosen ids; none when nothing was chosen. Raises Unreadable for what cannot have been printed."""
    chosen = tuple(name for name in ([response] if isinstance(response, str) else response) if name)
    known = {name for name, _ in part.options}
    if not set(chosen) <= known:
        raise Unreadable("Choose only from what is printed.")
    if len(set(chosen)) < len(chosen):
        raise Unreadable("Use each line once.")
    if part.ask is Ask.ONE and len(chosen) > 1:
        raise Unreadable("Choose one only.")
    if part.ask is Ask.ORDER and chosen and set(chosen) != known:
        raise Unreadable(f"Put all {len(known)} lines in order; {len(known) - len(chosen)} have no place yet.")
    return chosen


def mark_choice(part: Part, chosen: tuple[str, ...]) -> PartMark:
    """Mark chosen ids."""
    if not chosen:
        return PartMark(name=part.name, share=Fraction(0), flags=("blank",), says="No answer was given.")
    if part.ask is Ask.ORDER:
        return _order(part, chosen)
    texts = dict(part.options)
    flags = ("unsafe",) if set(chosen) & set(part.unsafe) else ()
    # Where one is asked for and a corrected key has two right ones, either is right.
    wanted = set(part.right) & set(chosen) if part.ask is Ask.ONE else set(part.right)
    right = set(chosen) == wanted and not flags
    return PartMark(
        name=part.name,
        share=Fraction(int(right)),
        flags=flags,
        misconception=_misconception(part, chosen),
        says="Right." if right else _says(part, chosen, texts),
        read="; ".join(texts[name] for name in chosen),
    )


def _misconception(part: Part, chosen: tuple[str, ...]) -> str | None:
    """Return the mistake behind a number chosen among options."""
    symbol = unit(part.unit).symbol
    texts = dict(part.options)
    by_text = {printed(wrong.shown, symbol): wrong.misconception for wrong in part.wrong}
    return next((by_text[texts[name]] for name in chosen if texts[name] in by_text), None)


def _says(part: Part, chosen: tuple[str, ...], texts: dict[str, str]) -> str:
    stray = [name for name in chosen if name not in part.right]
    sentences = [
        f"{texts[name]}: {part.option_says[name]}" if name in part.option_says else texts[name] for name in stray
    ]
    # Reasons are whole sentences or a few words: either way one full stop ends them.
    said = f"Not right: {'; '.join(one.removesuffix('.') for one in sentences)}. " if stray else ""
    # Where one is asked for, what was left out is just the right answer, which is shown anyway.
    missed = [texts[name] for name in part.right if name not in chosen and part.ask is not Ask.ONE]
    return (said + (f"Left out: {'; '.join(missed)}." if missed else "")).strip()


def _order(part: Part, chosen: tuple[str, ...]) -> PartMark:
    place = {name: number for number, name in enumerate(chosen)}
    texts = dict(part.options)
    broken = [(first, second) for first, second in part.before if place[first] > place[second]]
    pairs = list(combinations(part.order, 2))
    kept = sum(place[first] < place[second] for first, second in pairs)
    says = "Right." if kept == len(pairs) else f"{kept} of {len(pairs)} pairs stand in the right order."
    if broken:
        says = " ".join(f"{texts[first]} must come before {texts[second]}." for first, second in broken)
    return PartMark(
        name=part.name,
        share=Fraction(int(kept == len(pairs))),
        flags=("unsafe",) if broken else (),
        says=says,
        read="; ".join(texts[name] for name in chosen),
    )
