"""Handed-in papers, made in bulk: the marks are what these pages read, not how they came about."""

import hashlib
from collections.abc import Callable, Sequence
from datetime import timedelta
from fractions import Fraction

import pytest

from tests.cast import AT, Cast
from training.bank.models import Question, QuestionVersion
from training.people.models import Person
from training.quizzes.models import Paper, PaperIssue, PartMark, Sitting, SittingItem

Mark = tuple[Fraction | int, str, str]  # share, misconception, answer as read


def body_of(kind: str, prompt: str) -> dict[str, object]:
    """A question's specification, as far as these pages read it."""
    if kind != "one":
        return {"prompt": prompt, "given": {"current": {"choice": ["200", "250"]}, "arc": {"constant": "22"}}}
    paint = {"text": "Paint", "says": "Paint is taken to conduct."}
    return {"prompt": prompt, "option": [{"text": "Grind", "right": True}, paint, {"text": "Wait"}]}


def given(value: str) -> dict[str, str]:
    """A printed current."""
    return {"name": "current", "symbol": "I", "value": value, "unit": "A", "says": "shot"}


@pytest.fixture
def theory(cast: Cast) -> PaperIssue:
    """A paper passed at 0.8 with questions q0 (a calculation), q1 (one right option), q2 and q3 (safety)."""
    paper = Paper.objects.create(slug="theory", retired_at=None)
    for number, kind in enumerate(["calculation", "one", "scenario", "one"]):
        question = Question.objects.create(key=f"q{number}")
        QuestionVersion.objects.create(
            question=question, version=1, kind=kind, topic="setup", level="apply", safety=number == 3,
            body=body_of(kind, "A shot of {current} runs. What is lost?"), digest="-", loaded_at=AT,
        )  # fmt: skip
    return PaperIssue.objects.create(
        paper=paper, version=1, title="Theory paper", body={"passing": "0.8", "minutes": 60}, digest="-", loaded_at=AT
    )


@pytest.fixture
def hand_in(cast: Cast, theory: PaperIssue) -> Callable[[Sequence[dict[str, Mark]]], None]:
    """Hand in papers, each given as a mark by question key, by turns from people of two employers."""

    def _hand_in(papers: Sequence[dict[str, Mark]], issue: PaperIssue = theory, currents: Sequence[str] = ()) -> None:
        versions = {one.question.key: one for one in QuestionVersion.objects.select_related("question")}
        people: list[Person] = [cast.ada, cast.quin]
        sittings, items, marks = [], [], []
        for number, paper in enumerate(papers):
            earned = sum((Fraction(share) for share, *_ in paper.values()), Fraction(0))
            sittings.append(Sitting(
                person=people[number % 2], paper=issue.paper, issue=issue, seed="s", out_of=len(paper), opened_at=AT,
                due_at=AT, handed_in_at=AT + timedelta(minutes=number), earned_numerator=earned.numerator,
                earned_denominator=earned.denominator, passed=earned >= Fraction("0.8") * len(paper),
            ))  # fmt: skip
            for position, (key, (share, mistake, read)) in enumerate(paper.items(), start=1):
                place = {"sitting": sittings[-1], "position": position, "question_version": versions[key]}
                shown = {"givens": [given(currents[number])]} if currents and key == "q0" else {}
                item = SittingItem(**place, shown=shown, sealed={}, digest="-")
                items.append(item)
                top, bottom = Fraction(share).as_integer_ratio()
                marks.append(PartMark(
                    item=item, part="answer", share_numerator=top, share_denominator=bottom,
                    misconception=mistake, read=read,
                ))  # fmt: skip
        Sitting.objects.bulk_create(sittings)
        SittingItem.objects.bulk_create(items)
        PartMark.objects.bulk_create(marks)

    return _hand_in


def bad_key(count: int = 120) -> list[dict[str, Mark]]:
    """Papers on which those who do well elsewhere take Paint, which is not the key of q1, and the others the key."""
    papers = spread(count)
    for number, paper in enumerate(papers):
        able = sum(paper[key][0] for key in ("q0", "q2", "q3")) >= 2
        wrong = able if number % 8 else not able
        paper["q1"] = (int(not wrong), "", "Paint" if wrong else "Grind")
    return papers


def spread(count: int) -> list[dict[str, Mark]]:
    """Papers of four questions, marked by the digits of a hash, so that nothing goes with anything."""
    papers = []
    for number in range(count):
        bits = hashlib.sha256(str(number).encode()).digest()
        able = bits[9] > 90
        papers.append({f"q{place}": (int(bits[place] < (220 if able else 90)), "", "Grind") for place in range(4)})
    return papers
