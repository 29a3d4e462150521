"""A small list of computations and questions for tests, so that they stand without the trade's catalogue."""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from training.content.questions import read_question
from training.questions.book import Book
from training.questions.specs import QuestionSpec


@dataclass(frozen=True)
class Slot:
    name: str
    unit: str
    whole: bool = False


@dataclass(frozen=True)
class Entry:
    title: str
    function: Callable[..., float]
    inputs: tuple[Slot, ...]
    output: Slot
    mistake_of: str | None = None
    says: str = ""


def _drop(resistance: float, current: float) -> float:
    if not 0 < current <= 1000:
        raise ValueError("The current must lie above 0 A and up to 1000 A.")
    return current * resistance


DROP_INPUTS = (Slot("resistance", "ohm"), Slot("current", "A"))
LEAD_INPUTS = (Slot("resistance_per_metre", "ohm/m"), Slot("length", "m"))
SHOT_INPUTS = (Slot("packs", "1", whole=True), Slot("each", "1"))
RISE_INPUTS = (Slot("first", "degC"), Slot("last", "degC"))
VOLT, OHM, COUNT = Slot("drop", "V"), Slot("resistance", "ohm"), Slot("count", "1", whole=True)
ENTRIES: Mapping[str, Entry] = {
    "drop": Entry("Voltage drop", _drop, DROP_INPUTS, VOLT),
    "drop.half": Entry(
        "",
        lambda resistance, current: current * resistance / 2,
        DROP_INPUTS,
        VOLT,
        "drop",
        "You left out the return lead.",
    ),
    "drop.divided": Entry(
        "", lambda resistance, current: current / resistance, DROP_INPUTS, VOLT, "drop", "You divided."
    ),
    "drop.milli": Entry(
        "", lambda resistance, current: current * resistance * 1000, DROP_INPUTS, VOLT, "drop", "You read mohm as ohm."
    ),
    "lead": Entry(
        "Lead resistance", lambda resistance_per_metre, length: resistance_per_metre * length, LEAD_INPUTS, OHM
    ),
    "lead.both": Entry(
        "",
        lambda resistance_per_metre, length: resistance_per_metre * length * 2,
        LEAD_INPUTS,
        OHM,
        "lead",
        "You counted it twice.",
    ),
    "shots": Entry("Shots", lambda packs, each: packs * each, SHOT_INPUTS, COUNT),
    "shots.more": Entry("", lambda packs, each: packs * each + 2, SHOT_INPUTS, COUNT, "shots", "You rounded up."),
    "rise": Entry("Rise", lambda first, last: last - first, RISE_INPUTS, Slot("rise", "K")),
    "mean": Entry("Mean", lambda first, last: (first + last) / 2, RISE_INPUTS, Slot("mean", "degC")),
    "inverse": Entry("Inverse", lambda each: 1 / each, (Slot("each", "1"),), Slot("inverse", "1")),
    "endless": Entry("Endless", lambda each: float("inf"), (Slot("each", "1"),), Slot("endless", "1")),
}


def compute(key: str, values: Mapping[str, float]) -> float:
    return ENTRIES[key].function(**values)


BOOK = Book(ENTRIES, compute)

DROP = """
key = "two-leads"
version = 1
kind = "calculation"
topic = "setup"
level = "apply"
steps = ["setup.leads"]
minutes = 3
prompt = "The leads have {resistance}. A shot draws {current}. What voltage do they take?"
computation = "drop"
[given.resistance]
from = 12.0
to = 18.0
step = 0.5
unit = "mohm"
symbol = "R"
says = "both leads"
[given.current]
choice = [200, 220, 240, 260]
unit = "A"
symbol = "I"
[answer]
unit = "V"
decimals = 2
relative = "0.02"
reason = "two per cent covers rounding"
[[wrong]]
computation = "drop.half"
[[wrong]]
computation = "drop.divided"
[working]
lines = ["U = I R = {current} x {resistance} = {answer}"]
source = "Ohm's law"
"""

CHAIN = """
key = "lead-chain"
version = 1
kind = "scenario"
topic = "setup"
level = "judge"
minutes = 6
prompt = "A lead of {row}, {length} long, carries {current}."
[given.row]
constant = 0.529
unit = "mohm/m"
[given.length]
from = 6
to = 12
step = 1
unit = "m"
[given.current]
constant = 240
unit = "A"
[[part]]
name = "loop"
prompt = "What is its resistance?"
computation = "lead"
inputs = { resistance_per_metre = "row" }
sane = { from = 0.5, to = 20 }
[part.answer]
unit = "mohm"
decimals = 2
relative = "0.01"
reason = "rounding"
[[part.wrong]]
computation = "lead.both"
[part.working]
lines = ["R = {row} x {length} = {answer}"]
source = "IEC 60228"
[[part]]
name = "drop"
prompt = "What voltage does it take?"
computation = "drop"
inputs = { resistance = "part:loop" }
carry = "full"
[part.answer]
unit = "V"
decimals = 2
relative = "0.02"
reason = "rounding"
[part.show.kilo]
computation = "drop"
unit = "mV"
decimals = 0
[part.working]
lines = ["U = {current} x {loop} = {answer} = {kilo}"]
source = "Ohm's law"
[[part]]
name = "act"
prompt = "With this lost at {current}, what now?"
kind = "one"
option = [
    { text = "Use it at {current}", right = true },
    { text = "Cut the lead shorter live", says = "haste", unsafe = true },
    { text = "None of these", says = "doubt", fixed = true },
]
"""

SHOTS = """
key = "shots-left"
version = 1
kind = "calculation"
topic = "setup"
level = "apply"
minutes = 3
prompt = "{packs.number} packs give {each} each. How many shots?"
computation = "shots"
[given.packs]
choice = [2, 3, 4]
unit = "1"
[given.each]
from = 7.5
to = 9.5
step = 0.5
unit = "shots"
[answer]
unit = "shots"
decimals = 0
round = "down"
[[wrong]]
computation = "shots.more"
[working]
lines = ["{packs} x {each} = {answer}"]
source = "counting"
"""

SEVERAL = """
key = "before-firing"
version = 1
kind = "several"
topic = "safety"
level = "know"
minutes = 1
prompt = "Which belong before firing?"
option = [
    { text = "Earth clamp on bright steel", right = true },
    { text = "Visor down", right = true },
    { text = "Gun at the ready on the ballast", says = "haste", unsafe = true },
    { text = "Count the shots", says = "a habit of the end of the day" },
]
"""

ORDER = """
key = "one-shot"
version = 1
kind = "order"
topic = "firing"
level = "know"
minutes = 2
prompt = "Put in order."
order = ["Isolate", "Clean", "Fire", "Look"]
before = [[0, 2]]
"""


def table(text: str, **changes: Any) -> dict[str, Any]:
    return {**tomllib.loads(text, parse_float=Decimal), **changes}


def spec(text: str, **changes: Any) -> QuestionSpec:
    return read_question(table(text, **changes), book=BOOK)
