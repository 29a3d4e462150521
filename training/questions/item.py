"""One question drawn: what a person sees, and the key beside it. A sitting stores both as JSON."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from training.questions.canonical import digest
from training.questions.specs import Ask, plain

Input = float | Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A printed value: ``value`` as digits, ``unit`` as symbol."""

    name: str
    symbol: str
    value: str
    unit: str
    says: str


@dataclass(frozen=True, slots=True)
class Wrong:
    """A recognised wrong answer, in the part's key unit, with its misconception's key and plain words."""

    value: Fraction
    shown: str
    misconception: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One thing to answer. ``hint`` is the unit's symbol printed beside the field, or nothing.

    For a number, ``value`` is the unrounded key in ``unit`` (whole when rounded up or down), right within
    max(``absolute``, ``relative`` x key); ``inputs`` are in the computation's units, or name an earlier part.
    """

    name: str
    prompt: str
    ask: Ask
    hint: str = ""
    decimals: int = 0
    round: str = "nearest"
    options: tuple[tuple[str, str], ...] = ()
    value: Fraction = Fraction(0)
    unit: str = "1"
    shown: str = ""
    absolute: Fraction = Fraction(0)
    relative: Fraction = Fraction(0)
    wrong: tuple[Wrong, ...] = ()
    computation: str = ""
    inputs: Mapping[str, Input] = field(default_factory=dict)
    sane: tuple[Fraction, Fraction] | None = None
    carry: Fraction = Fraction(0)
    reason: str = ""
    right: tuple[str, ...] = ()
    order: tuple[str, ...] = ()
    before: tuple[tuple[str, str], ...] = ()
    unsafe: tuple[str, ...] = ()
    option_says: Mapping[str, str] = field(default_factory=dict)
    working: tuple[str, ...] = ()
    source: str = ""

    @property
    def exact(self) -> bool:
        """Say whether only the number itself is right."""
        return self.round != "nearest"

    def tolerance(self, key: Fraction) -> Fraction:
        """Return how far from a key an answer may lie, in ``unit``."""
        if not self.relative:
            return self.absolute
        (times, per), (top, bottom) = self.relative.as_integer_ratio(), key.as_integer_ratio()
        share = Fraction(times * abs(top), per * bottom)
        return max(self.absolute, share) if self.absolute else share

    def as_shown(self) -> dict[str, Any]:
        """Return what the browser may have."""
        options = [{"id": name, "text": text} for name, text in self.options]
        table = {"name": self.name, "prompt": self.prompt, "answer": str(self.ask), "unit": self.hint}
        return table | {"decimals": self.decimals, "round": self.round, "options": options}

    def as_key(self) -> dict[str, Any]:
        """Return what the browser must never have."""
        table: dict[str, Any] = {"name": self.name, "working": list(self.working), "source": self.source}
        if self.computation:
            table |= {"value": str(self.value), "unit": self.unit, "shown": self.shown, "exact": self.exact}
            table |= {"absolute": str(self.absolute), "relative": str(self.relative), "reason": self.reason}
            table |= {
                "computation": self.computation,
                "inputs": {name: _plain(value) for name, value in self.inputs.items()},
            }
            table |= {"wrong": [_as_wrong(wrong, self.unit) for wrong in self.wrong], "carry": plain(self.carry)}
            table |= {"sane": [str(end) for end in self.sane] if self.sane else None}
        if self.ask is not Ask.NUMBER:
            table |= {
                "right": list(self.right),
                "order": list(self.order),
                "before": [list(pair) for pair in self.before],
            }
            table |= {"unsafe": list(self.unsafe), "option_says": dict(self.option_says)}
        return table


def _plain(value: Input) -> Any:
    return dict(value) if isinstance(value, Mapping) else value


def _as_wrong(wrong: Wrong, unit: str) -> dict[str, str]:
    table = {"value": str(wrong.value), "unit": unit, "shown": wrong.shown}
    return table | {"misconception": wrong.misconception, "says": wrong.says}


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """A drawn question. ``question`` is the spec's key."""

    question: str
    version: int
    kind: str
    topic: str
    level: str
    seed: str
    prompt: str
    givens: tuple[Given, ...]
    parts: tuple[Part, ...]

    def shown(self) -> dict[str, Any]:
        """Return what the browser may have, as JSON values."""
        table: dict[str, Any] = {"key": self.question, "version": self.version, "kind": self.kind, "topic": self.topic}
        table |= {"level": self.level, "seed": self.seed, "prompt": self.prompt}
        table |= {"givens": [_as_given(given) for given in self.givens]}
        return table | {"parts": [part.as_shown() for part in self.parts]}

    def key(self) -> dict[str, Any]:
        """Return answers, misconceptions and working, as JSON values."""
        return {"parts": [part.as_key() for part in self.parts]}

    @property
    def digest(self) -> str:
        """Return the fingerprint of both sides: 64 hex digits."""
        return digest({"shown": self.shown(), "key": self.key()})

    @classmethod
    def from_json(cls, shown: Mapping[str, Any], key: Mapping[str, Any]) -> "Item":
        """Restore an item from the two stored sides."""
        return cls(
            question=shown["key"],
            version=shown["version"],
            kind=shown["kind"],
            topic=shown["topic"],
            level=shown["level"],
            seed=shown["seed"],
            prompt=shown["prompt"],
            givens=tuple(Given(**given) for given in shown["givens"]),
            parts=tuple(_part(side, other) for side, other in zip(shown["parts"], key["parts"], strict=True)),
        )


def _as_given(given: Given) -> dict[str, str]:
    return {"name": given.name, "symbol": given.symbol, "value": given.value, "unit": given.unit, "says": given.says}


def _part(shown: Mapping[str, Any], key: Mapping[str, Any]) -> Part:
    sane = key.get("sane")
    return Part(
        name=shown["name"],
        prompt=shown["prompt"],
        ask=Ask(shown["answer"]),
        hint=shown["unit"],
        decimals=shown["decimals"],
        round=shown["round"],
        options=tuple((option["id"], option["text"]) for option in shown["options"]),
        value=Fraction(key.get("value", 0)),
        unit=key.get("unit", "1"),
        shown=key.get("shown", ""),
        absolute=Fraction(key.get("absolute", 0)),
        relative=Fraction(key.get("relative", 0)),
        wrong=tuple(_wrong(wrong) for wrong in key.get("wrong", ())),
        computation=key.get("computation", ""),
        inputs=key.get("inputs", {}),
        sane=(Fraction(sane[0]), Fraction(sane[1])) if sane else None,
        carry=Fraction(key.get("carry", 0)),
        reason=key.get("reason", ""),
        right=tuple(key.get("right", ())),
        order=tuple(key.get("order", ())),
        before=tuple((first, second) for first, second in key.get("before", ())),
        unsafe=tuple(key.get("unsafe", ())),
        option_says=key.get("option_says", {}),
        working=tuple(key["working"]),
        source=key["source"],
    )


def _wrong(table: Mapping[str, str]) -> Wrong:
    says = table["says"]
    return Wrong(value=Fraction(table["value"]), shown=table["shown"], misconception=table["misconception"], says=says)
