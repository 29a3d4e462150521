"""What an author writes: a question, its givens, parts, answers and wrong answers, frozen.

``QuestionSpec.as_json()`` gives back the shape of the TOML file, so a question can be stored, fingerprinted,
written out again and read with the same checks.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Any

from training.questions.canonical import digest
from training.questions.pools import Pool, usual

Inputs = Mapping[str, str]
PLACE = "place"


def in_written_order(tables: Mapping[str, Any]) -> dict[str, Any]:
    """Return named tables by their places, and without them. Tables of a file have none: they stand in order."""
    places = {name: _place(table) for name, table in tables.items()}
    bare = {name: tables[name] for name in sorted(tables, key=lambda name: places[name] or 0)}
    return {
        name: table if places[name] is None else {key: value for key, value in table.items() if key != PLACE}
        for name, table in bare.items()
    }


def _place(table: Any) -> int | None:
    place = table.get(PLACE) if isinstance(table, Mapping) else None
    return place if isinstance(place, int) else None


class Kind(StrEnum):
    """What a question is; the last three are also what a part may be."""

    CALCULATION = "calculation"
    SCENARIO = "scenario"
    ONE = "one"
    SEVERAL = "several"
    ORDER = "order"


class Level(StrEnum):
    """What a question asks of a person, a row of the blueprint."""

    KNOW = "know"
    APPLY = "apply"
    JUDGE = "judge"


class Ask(StrEnum):
    """How a part is answered."""

    NUMBER = "number"
    ONE = "one"
    SEVERAL = "several"
    ORDER = "order"


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenSpec:
    """One value a question prints. Exactly one of grid, choice, constant, computation is set."""

    name: str
    unit: str
    symbol: str = ""
    says: str = ""
    grid: tuple[Decimal, Decimal, Decimal] | None = None
    choice: tuple[Decimal, ...] = ()
    constant: Decimal | None = None
    computation: str = ""
    inputs: Inputs = field(default_factory=dict)
    decimals: int | None = None

    def as_json(self) -> dict[str, Any]:
        """Return the table under ``question.given.<name>``."""
        table: dict[str, Any] = {}
        if self.grid is not None:
            table |= dict(zip(("from", "to", "step"), map(str, self.grid), strict=True))
        return _filled(
            table
            | {
                "choice": [str(value) for value in self.choice],
                "unit": self.unit,
                "symbol": self.symbol,
                "says": self.says,
            }
            | {"constant": None if self.constant is None else str(self.constant), "decimals": self.decimals}
            | {"computation": self.computation, "inputs": dict(self.inputs)}
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerSpec:
    """How a number is asked for and how close is right: max(absolute, relative x key), in ``unit``."""

    unit: str
    decimals: int
    round: str = "nearest"
    relative: Fraction = Fraction(0)
    absolute: Fraction = Fraction(0)
    reason: str = ""
    options: bool = False
    print_unit: bool = True

    def as_json(self) -> dict[str, Any]:
        """Return the ``answer`` table."""
        table = {"unit": self.unit, "decimals": self.decimals, "round": self.round, "reason": self.reason}
        table |= {
            name: plain(value) for name, value in (("relative", self.relative), ("absolute", self.absolute)) if value
        }
        table |= {"ask": "options"} if self.options else {}
        return _filled(table) | ({} if self.print_unit else {"print_unit": False})


@dataclass(frozen=True, slots=True, kw_only=True)
class WrongSpec:
    """A wrong answer worth recognising: the computation of a misconception."""

    computation: str
    inputs: Inputs = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        """Return the ``wrong`` table."""
        return _filled({"computation": self.computation, "inputs": dict(self.inputs)})


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowSpec:
    """A value used only in the working."""

    name: str
    computation: str
    unit: str
    decimals: int
    inputs: Inputs = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        """Return the table under ``show.<name>``."""
        table = {"computation": self.computation, "unit": self.unit, "decimals": self.decimals}
        return _filled(table | {"inputs": dict(self.inputs)})


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionSpec:
    """One option of a choice."""

    text: str
    right: bool = False
    says: str = ""
    unsafe: bool = False
    fixed: bool = False

    def as_json(self) -> dict[str, Any]:
        """Return the ``option`` table."""
        flags = {"right": self.right, "unsafe": self.unsafe, "fixed": self.fixed}
        return _filled({"text": self.text, "says": self.says} | {name: True for name, on in flags.items() if on})


def _placed(rows: Iterable[GivenSpec | ShowSpec]) -> dict[str, Any]:
    """Return named tables with their places: draws follow the written order, and a database may not keep it."""
    return {row.name: row.as_json() | {PLACE: place} for place, row in enumerate(rows, start=1)}


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSpec:
    """One thing to answer. A number has a computation and an answer, a choice options, an ordering an order."""

    name: str
    ask: Ask
    prompt: str = ""
    computation: str = ""
    inputs: Inputs = field(default_factory=dict)
    answer: AnswerSpec | None = None
    wrong: tuple[WrongSpec, ...] = ()
    show: tuple[ShowSpec, ...] = ()
    options: tuple[OptionSpec, ...] = ()
    order: tuple[str, ...] = ()
    before: tuple[tuple[int, int], ...] = ()
    sane: tuple[Fraction, Fraction] | None = None
    carry: Fraction = Fraction(0)
    lines: tuple[str, ...] = ()
    source: str = ""

    def as_json(self) -> dict[str, Any]:
        """Return what the file says of this part, without its name, prompt and kind."""
        sane = self.sane and {"from": plain(self.sane[0]), "to": plain(self.sane[1])}
        return _filled(
            {
                "computation": self.computation,
                "inputs": dict(self.inputs),
                "answer": self.answer and self.answer.as_json(),
            }
            | {
                "wrong": [wrong.as_json() for wrong in self.wrong],
                "show": _placed(self.show),
            }
            | {"option": [option.as_json() for option in self.options], "order": list(self.order)}
            | {
                "before": [list(pair) for pair in self.before],
                "sane": sane,
                "carry": plain(self.carry) if self.carry else "",
            }
            | {"working": _filled({"lines": list(self.lines), "source": self.source})}
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionSpec:
    """A question as its author wrote it; ``key`` and ``version`` name it for ever. ``pool`` is where it is used."""

    key: str
    version: int
    kind: Kind
    topic: str
    level: Level
    prompt: str
    minutes: int
    parts: tuple[PartSpec, ...]
    givens: tuple[GivenSpec, ...] = ()
    safety: bool = False
    anchor: bool = False
    steps: tuple[str, ...] = ()
    enemies: tuple[str, ...] = ()
    pool: Pool = Pool.PAPERS
    language: str = "en"

    @property
    def digest(self) -> str:
        """Return the fingerprint of all the author wrote: 64 hex digits."""
        return digest(self.as_json())

    @property
    def usual_pool(self) -> Pool:
        """Return the pool it has when its author names none."""
        return usual_pool(self.kind, self.givens)

    def as_json(self) -> dict[str, Any]:
        """Return the question as one ``[[question]]`` table of a file, with its language."""
        table: dict[str, Any] = {"key": self.key, "version": self.version, "kind": str(self.kind), "topic": self.topic}
        table |= {
            "level": str(self.level),
            "minutes": self.minutes,
            "steps": list(self.steps),
            "enemies": list(self.enemies),
        }
        table |= {
            "safety": self.safety or None,
            "anchor": self.anchor or None,
            # The usual pool is left out, so that a question from before there were pools keeps its fingerprint.
            "pool": None if self.pool is self.usual_pool else str(self.pool),
            "language": self.language,
            "prompt": self.prompt,
        }
        table |= {"given": _placed(self.givens)}
        if self.kind is not Kind.SCENARIO:
            return _filled(table | self.parts[0].as_json())
        parts = []
        for part in self.parts:
            kind = {} if part.ask is Ask.NUMBER else {"kind": str(part.ask)}
            parts.append({"name": part.name, "prompt": part.prompt} | kind | part.as_json())
        return _filled(table | {"part": parts})


def usual_pool(kind: Kind, givens: Iterable[GivenSpec]) -> Pool:
    """Return the pool of a question of this kind and these givens when its author names none."""
    return usual(kind, drawn=any(given.grid or given.choice for given in givens))


def plain(number: Fraction) -> str:
    """Return a fraction as decimal digits where they end, otherwise as ``1/3``."""
    for decimals in range(13):
        if (number * 10**decimals).denominator == 1:
            return f"{Decimal(int(number * 10**decimals)).scaleb(-decimals):f}"
    return str(number)


def _filled(table: dict[str, Any]) -> dict[str, Any]:
    """Leave out what the author left out: false zero is kept, absent is not."""
    return {name: value for name, value in table.items() if value is not None and value not in ("", [], {}, ())}
