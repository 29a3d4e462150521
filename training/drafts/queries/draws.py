"""Twenty draws of a question side by side, and what two hundred of them show."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from training.bank.rules import givens, right_answer
from training.content.typed import sentence
from training.drafts import rules
from training.questions.draw import AuthoringError, draw
from training.questions.examine import Report, examine
from training.questions.rounding import printed
from training.questions.specs import QuestionSpec
from training.questions.units import unit
from training.questions.values import REASONS


@dataclass(frozen=True, slots=True)
class Sheet:
    """One draw: what the candidate sees, and the key with its wrong answers and working."""

    prompt: str
    givens: tuple[tuple[str, str], ...]
    options: tuple[str, ...]
    answer: str
    wrong: tuple[tuple[str, str], ...]
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Preview:
    """The draws and their figures; `objections` must be put right before use, `advice` may stay."""

    spec: QuestionSpec
    facts: tuple[tuple[str, str], ...]
    objections: tuple[str, ...]
    advice: tuple[str, ...]
    sheets: tuple[Sheet, ...]


def preview(spec: QuestionSpec) -> Preview:
    """Look at a question of one part over many draws; nothing is read from the database."""
    try:
        report = examine(spec, rules.SHOWN)
        # A question that loses most of its draws is slow to draw, and the first few have told already.
        report = report if rules.loses_too_much(report) else examine(spec, rules.DRAWS)
        sheets = tuple(_sheet(spec, number) for number in range(rules.SHOWN))
    except AuthoringError as error:
        return Preview(spec, (), (sentence(str(error)),), (), ())
    return Preview(spec, _facts(report), _objections(report), _advice(report), sheets)


def _facts(report: Report) -> tuple[tuple[str, str], ...]:
    part, symbol = report.parts[0], unit(report.parts[0].unit).symbol
    span = {"low": printed(part.low, symbol), "high": printed(part.high, symbol)}
    facts = [
        (_("Draws looked at"), str(report.draws)),
        (_("Different among them"), str(report.different)),
        (_("Answer"), _("%(low)s to %(high)s") % span),
        (_("Sets of values lost"), _("%(percent)d\u00a0%%") % {"percent": round(report.rejection_rate * 100)}),
    ]
    if part.places:
        facts.append((_("Place of the right option"), ", ".join(map(str, part.places))))
    return tuple(facts)


def _objections(report: Report) -> tuple[str, ...]:
    found = []
    if rules.loses_too_much(report):
        worst = max(report.rejected, key=lambda reason: report.rejected[reason])
        words = _("More than half of the sets of values are lost, mostly because %(reason)s. Change the ranges.")
        found.append(words % {"reason": REASONS[worst]})
    if rules.never_differs(report):
        found.append(_("Everyone gets the same numbers. Give at least one value a range or a list."))
    return tuple(found)


def _advice(report: Report) -> tuple[str, ...]:
    found = []
    if rules.differs_little(report) and not rules.never_differs(report):
        words = _("There are only %(count)d different questions: neighbours may get the same one.")
        found.append(words % {"count": report.different})
    if not report.parts[0].even:
        found.append(_("The right option stands too often in the same place. Other wrong answers would spread it."))
    return tuple(found)


def _sheet(spec: QuestionSpec, number: int) -> Sheet:
    item = draw(spec, f"preview:{number}")
    shown, key = item.shown(), item.key()
    part, sealed = shown["parts"][0], key["parts"][0]
    return Sheet(
        prompt=shown["prompt"],
        givens=givens(shown),
        options=tuple(option["text"] for option in part.get("options", ())),
        answer="; ".join(right_answer(part, sealed)),
        wrong=tuple(_wrong(one) for one in sealed["wrong"]),
        working=tuple(sealed["working"]),
    )


def _wrong(one: Mapping[str, Any]) -> tuple[str, str]:
    return printed(one["shown"], unit(one["unit"]).symbol), one["says"]
