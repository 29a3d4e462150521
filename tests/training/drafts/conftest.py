"""A site with procedures, a paper of one calculation, and a question as a trainer types it."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest
import time_machine
from django.http import HttpResponse
from django.urls import reverse

from tests.cast import AT, Cast
from tests.training.quizzes.pool import paper, questions
from training.bank import operations as bank
from training.content.papers import CellSpec
from training.drafts.models import Draft
from training.procedures.models import Module, Revision
from training.questions.specs import Level
from training.quizzes import operations as quizzes

TOPICS = {"setup": ["earth", "leads"], "firing": ["shot"], "safety": ["dead"]}
# Ohm's law, U = I R (IEC 60050-131:2002, 131-12-04).
SENT: dict[str, object] = {
    "key": "volts-in-a-bad-plug",
    "topic": "setup",
    "level": "apply",
    "minutes": "3",
    "prompt": "A shot of {current} runs through {resistance} in a plug. What voltage is lost there?",
    "in-current-how": "grid",
    "in-current-from": "200",
    "in-current-to": "260",
    "in-current-step": "10",
    "in-current-unit": "A",
    "in-current-symbol": "I",
    "in-current-says": "current of the shot",
    "in-resistance-how": "choice",
    "in-resistance-list": "18 20 24",
    "in-resistance-unit": "mohm",
    "in-resistance-symbol": "R",
    "in-resistance-says": "resistance of the plug",
    "answer-ask": "number",
    "answer-unit": "V",
    "answer-decimals": "2",
    "answer-round": "nearest",
    "answer-relative": "0,02",
    "answer-reason": "covers rounding",
    "wrong": ["circuit.voltage_drop.upside_down"],
    "lines": "U = I R\n{current} x {resistance} = {answer}",
    "source": "Ohm's law, IEC 60050-131",
    "steps": ["setup.leads"],
    "values": "0",
    "shows": "0",
    "edits": "0",
}
Post = Callable[..., HttpResponse]


@pytest.fixture
def site(cast: Cast):
    """The cast, three modules, the pool of questions and a paper of one calculation about setup, at AT."""
    for order, (slug, steps) in enumerate(TOPICS.items(), start=1):
        body = {"steps": [{"slug": step, "title": step.title()} for step in steps]}
        facts = {"title": slug.title(), "language": "en", "digest": "-", "changed": "First issue."}
        module = Module.objects.create(slug=slug)
        Revision.objects.create(module=module, number=1, order=order, body=body, loaded_at=AT, **facts)
    bank.load_questions(questions(), at=AT)
    cells = (CellSpec(topic="setup", level=Level.APPLY, count=3),)
    quizzes.load_papers([replace(paper(), cells=cells)], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def begin(site: Cast) -> Callable[..., Draft]:
    """Begin a draft about the voltage across a resistance, through the page, as tess."""

    def _begin(name: str = "tess") -> Draft:
        site.client(name).post(reverse("drafts:new"), {"computation": "circuit.voltage_drop"})
        return Draft.objects.latest("pk")

    return _begin


@pytest.fixture
def send(site: Cast) -> Post:
    """Send the page of a draft as tess, with changes to SENT, and follow where it leads."""

    def _send(draft: Draft, act: str = "draws", *, name: str = "tess", **changed: object) -> HttpResponse:
        draft.refresh_from_db()
        fields = SENT | {"edits": str(draft.edits), "act": act} | changed
        return site.client(name).post(reverse("drafts:edit", args=[draft.pk]), _filled(fields), follow=True)

    return _send


def _filled(fields: Mapping[str, object]) -> dict[str, object]:
    return {name: value for name, value in fields.items() if value is not None}
