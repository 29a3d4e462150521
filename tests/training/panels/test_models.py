"""What the database refuses, and the sentence it refuses with."""

from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from tests.cast import AT, Cast
from training.panels.models import Panel, PanelEstimate, PanelJudge, PanelMinute, PanelQuestion

EARLIER = AT.replace(year=2020)


def of(panel: Panel, cast: Cast, **facts: object) -> Panel:
    """Another panel on the same issue."""
    return Panel(issue=panel.issue, opened_by=cast.max, opened_at=AT, **facts)


def judged(panel: Panel, **facts: object) -> PanelEstimate:
    """An estimate of the first judge on the first question."""
    seat, question = panel.judges.order_by("pk").first(), panel.questions.order_by("pk").first()
    return PanelEstimate(judge=seat, question=question, kept_at=AT, **({"round": 1, "percent": 50} | facts))


WRONG: list[tuple[Callable[[Panel, Cast], models.Model], str]] = [
    (of, "at work on this paper already"),
    (lambda panel, cast: of(panel, cast, first_closed_at=AT), "The first round is closed by somebody"),
    (
        lambda panel, cast: of(panel, cast, first_closed_at=AT, first_closed_by=cast.max, second_closed_at=AT),
        "The second round is closed by somebody",
    ),
    (
        lambda panel, cast: of(panel, cast, first_closed_at=EARLIER, first_closed_by=cast.max),
        "closed after the panel was opened",
    ),
    (
        lambda panel, cast: of(panel, cast, second_closed_at=AT, second_closed_by=cast.max),
        "The second round is closed after the first",
    ),
    (
        lambda panel, cast: PanelJudge(panel=panel, person=cast.tess, named_by=cast.max, named_at=AT),
        "is a judge on this panel already",
    ),
    (
        lambda panel, cast: PanelQuestion(
            panel=panel, position=1, version=panel.questions.first().version.question.versions.create(
                version=2, kind="one", topic="t", level="know", body={}, digest="-", loaded_at=AT
            ),
        ),
        "already has a question in that place",
    ),
    (
        lambda panel, cast: PanelQuestion(panel=panel, position=99, version=panel.questions.first().version),
        "looks at that question already",
    ),
    (lambda panel, cast: judged(panel, percent=101), "a whole number from 0 to 100"),
    (lambda panel, cast: judged(panel, round=3), "a first and a second round"),
    (lambda panel, cast: PanelMinute(panel=panel, by=cast.max, at=AT, text=""), "Write what was said"),
]  # fmt: skip


@pytest.mark.parametrize(("make", "words"), WRONG)
def test_is_refused(site: Cast, panel: Panel, make: Callable[[Panel, Cast], models.Model], words: str) -> None:
    """By the form's check with a sentence, and by the database itself."""
    made = make(panel, site)
    with pytest.raises(ValidationError, match=words):
        made.validate_constraints()
    with pytest.raises(IntegrityError), transaction.atomic():
        made.save()


def test_an_estimate_once_a_round(site: Cast, panel: Panel) -> None:
    """The second round has one of its own."""
    judged(panel).save()
    judged(panel, round=2).save()
    with pytest.raises(ValidationError, match="in this round already"):
        judged(panel).validate_constraints()
    with pytest.raises(IntegrityError), transaction.atomic():
        judged(panel).save()


def test_rows_say_what_they_are(site: Cast, panel: Panel) -> None:
    """In a shell or a log, by number and without names."""
    minute = PanelMinute.objects.create(panel=panel, by=site.max, at=AT, text="Heard.")
    rows = [panel, panel.judges.first(), panel.questions.first(), judged(panel), minute]
    assert all(str(panel.pk) in str(row) or "round 1" in str(row) for row in rows)
    assert not any("Max" in str(row) for row in rows)
