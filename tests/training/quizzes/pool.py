"""A small pool of questions, one of each kind twice over, and the right answers to whatever was drawn from it."""

import tomllib
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from training.content.papers import CellSpec, PaperSpec
from training.content.questions import read_question
from training.questions.book import calculations
from training.questions.specs import Level, QuestionSpec
from training.quizzes.models import Sitting

# Ohm's law, U = I R (IEC 60050-131:2002, 131-12-04): 250 A through 20 mohm take 5 V.
DROP = """
kind = "calculation"
level = "apply"
prompt = "A shot of {current} runs through {resistance}. What voltage is lost?"
computation = "circuit.voltage_drop"
given.current = { choice = [200, 250], unit = "A" }
given.resistance = { choice = [18, 20], unit = "mohm", symbol = "R", says = "Both leads" }
answer = { unit = "V", decimals = 2, relative = "0.02", reason = "covers rounding" }
wrong = [{ computation = "circuit.voltage_drop.upside_down" }]
working = { lines = ["U = I R = {current} x {resistance} = {answer}"], source = "Ohm's law, IEC 60050-131" }
"""
CHAIN = """
kind = "scenario"
level = "judge"
prompt = "The pack rests at {rest_voltage} and a shot draws {current}."
given.rest_voltage = { choice = [36, 38], unit = "V" }
given.current = { choice = [200, 250], unit = "A" }
[[part]]
name = "loop"
prompt = "What resistance does the loop have?"
computation = "circuit.resistance_from_current"
answer = { unit = "mohm", decimals = 1, relative = "0.02", reason = "covers rounding" }
sane = { from = 10, to = 1000 }
working = { lines = ["R = U / I = {answer}"], source = "Ohm's law, IEC 60050-131" }
[[part]]
name = "drop"
prompt = "What voltage does that resistance take at {current}?"
computation = "circuit.voltage_drop"
inputs = { resistance = "part:loop" }
answer = { unit = "V", decimals = 1, relative = "0.02", reason = "covers rounding" }
sane = { from = 1, to = 100 }
carry = "full"
working = { lines = ["U = I R = {answer}"], source = "Ohm's law, IEC 60050-131" }
"""
ONE = """
kind = "one"
level = "know"
safety = true
prompt = "Who says that the line is dead?"
working = { lines = ["The isolation is handed over in writing."], source = "common practice, no source" }
option = [
  { text = "The person in charge of the isolation", right = true },
  { text = "The foreman", says = "Authority is taken for isolation." },
  { text = "Nobody", says = "A quiet line is taken for a dead one.", unsafe = true },
]
"""
SEVERAL = """
kind = "several"
level = "know"
prompt = "What is looked at before the shot?"
option = [
  { text = "The earth clamp", right = true },
  { text = "The ferrule", right = true },
  { text = "The colour of the van", says = "Every check is taken to matter." },
]
"""
ORDER = """
kind = "order"
level = "judge"
prompt = "Put the work in order."
order = ["Grind", "Set the earth", "Fire"]
before = [[0, 2]]
"""
KINDS = {"drop": DROP, "chain": CHAIN, "one": ONE, "several": SEVERAL, "order": ORDER}
TOPICS = {"drop": "setup", "chain": "setup", "one": "safety", "several": "firing", "order": "firing"}
CELLS = (
    CellSpec(topic="safety", level=Level.KNOW, count=1),
    CellSpec(topic="setup", level=Level.APPLY, count=1),
    CellSpec(topic="setup", level=Level.JUDGE, count=1),
    CellSpec(topic="firing", level=Level.KNOW, count=1),
    CellSpec(topic="firing", level=Level.JUDGE, count=1),
)


def question(kind: str, number: int = 1, **changed: object) -> QuestionSpec:
    """Return one question of a kind; `changed` replaces keys of its table."""
    facts = {"key": f"{kind}-{number}", "version": 1, "topic": TOPICS[kind], "minutes": 3}
    data = tomllib.loads(KINDS[kind], parse_float=Decimal) | facts | {"steps": [f"{TOPICS[kind]}.earth"]} | changed
    return read_question(data, book=calculations(), seeds=1)


def questions(copies: int = 2) -> list[QuestionSpec]:
    """Return so many of each kind."""
    return [question(kind, number) for kind in KINDS for number in range(1, copies + 1)]


def paper(slug: str = "bonding-theory", **changed: object) -> PaperSpec:
    """Return a paper of one question of each kind, passed at four of five."""
    facts = {"version": 1, "title": "Theory paper", "minutes": 60, "passing": Fraction(4, 5), "waits_days": (1, 7, 30)}
    return PaperSpec(slug=slug, language="en", cells=CELLS, **(facts | changed))  # type: ignore[arg-type]


def right(sitting: Sitting) -> dict[int, dict[str, object]]:
    """Return the right answers of a sitting by place and part."""
    return {item.position: {part["name"]: answer(part) for part in sides(item)} for item in sitting.items.all()}


def sides(item) -> list[dict]:
    """Return the parts of an item, what is shown and what is sealed in one."""
    return [one | other for one, other in zip(item.shown["parts"], item.sealed["parts"], strict=True)]


def answer(part: Mapping) -> object:
    """Return the right answer of a part as its candidate would give it."""
    if part["answer"] == "number":
        return part["shown"]
    if part["answer"] == "one":
        return part["right"][0]
    return part["order"] or part["right"]


def place(sitting: Sitting, kind: str) -> int:
    """Return the place on the paper of the question of a kind."""
    return next(item.position for item in sitting.items.all() if item.shown["key"].startswith(f"{kind}-"))


def fields(sitting: Sitting, answers: Mapping[int, Mapping[str, object]]) -> dict[str, object]:
    """Return answers under the names the browser sends; a line of an ordering sends its place."""
    orders = {item.position for item in sitting.items.all() if item.shown["kind"] == "order"}
    sent: dict[str, object] = {}
    for position, parts in answers.items():
        for name, value in parts.items():
            if position in orders:
                sent |= {f"q{position}-{name}-{one}": str(rank) for rank, one in enumerate(value, start=1)}  # type: ignore[arg-type]
            else:
                sent[f"q{position}-{name}"] = value
    return sent
