"""The sheet of one judge: every question with its key, and the fields for the round that is open."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from training.analysis.queries import Facility, facilities
from training.bank.models import QuestionVersion
from training.bank.queries import drawn
from training.bank.rules import givens, right_answer
from training.panels import rules
from training.panels.models import PanelJudge
from training.panels.queries.rounds import judged, on_panel


@dataclass(frozen=True, slots=True)
class Part:
    """One thing a question asks: its words, its options, and what is right."""

    prompt: str
    options: tuple[str, ...]
    right: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """A question before a judge, drawn once as an example. The last two are shown once the first round is closed."""

    position: int
    key: str
    topic: str
    level: str
    safety: bool
    prompt: str
    givens: tuple[tuple[str, str], ...]
    parts: tuple[Part, ...]
    own: int | None
    spread: rules.Spread | None
    facility: Facility | None


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a judge has before them in the open round: the questions, and what stands in their fields, by position."""

    panel: int
    title: str
    round: int
    questions: tuple[Judged, ...]
    kept: Mapping[int, int]
    left_out: bool


def sheet(judge: PanelJudge) -> Sheet:
    """Return the sheet of a judge on a panel that is not closed: three queries at most."""
    panel = judge.panel
    versions, rounds = on_panel(panel), judged(panel)
    second = panel.stage is rules.Stage.SECOND
    first, own = rounds[rules.FIRST], rounds[rules.FIRST].get(judge.pk, {})
    # The second round starts from the judge's own first estimates: they say only what they now see otherwise.
    kept = own | rounds[rules.SECOND].get(judge.pk, {}) if second else own
    shown = facilities(one.pk for one in versions.values()) if second else {}
    questions = []
    for position, version in versions.items():
        key = version.question.key
        given = [one[key] for one in first.values() if key in one]
        spread = rules.spread(given) if second and given else None
        facility = shown.get(version.pk)
        questions.append(_judged(position, version, own.get(key) if second else None, spread, facility))
    return Sheet(
        panel=panel.pk,
        title=panel.issue.title,
        round=rules.SECOND if second else rules.FIRST,
        questions=tuple(questions),
        kept={one.position: kept[one.key] for one in questions if one.key in kept},
        left_out=second and len(own) < len(versions),
    )


def _judged(
    position: int,
    version: QuestionVersion,
    own: int | None,
    spread: rules.Spread | None,
    facility: Facility | None,
) -> Judged:
    item = drawn(version, seed="panel")
    shown, sealed = item.shown(), item.key()
    sides = zip(shown["parts"], sealed["parts"], strict=True)
    return Judged(
        position=position,
        key=version.question.key,
        topic=version.topic,
        level=version.level,
        safety=version.safety,
        prompt=shown["prompt"],
        givens=givens(shown),
        parts=tuple(_part(part, key) for part, key in sides),
        own=own,
        spread=spread,
        facility=facility,
    )


def _part(shown: Mapping[str, Any], key: Mapping[str, Any]) -> Part:
    options = tuple(option["text"] for option in shown["options"])
    return Part(shown["prompt"], options, right_answer(shown, key))
