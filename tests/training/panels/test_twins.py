"""The same button pressed twice at once on a slow network."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from tests.cast import AT, ON, Cast, assemble
from tests.training.quizzes.pool import paper, questions
from training.bank import operations as bank
from training.ledger.models import Entry
from training.panels import operations, rules
from training.panels.models import Panel, PanelEstimate, PanelJudge
from training.quizzes import operations as quizzes
from training.quizzes.models import PaperIssue


def at_once(act: Callable[[int], object]) -> list[object]:
    """Do an act four times at once; a refusal is an answer too."""

    def one(number: int) -> object:
        try:
            return act(number)
        except operations.REFUSALS as refusal:
            return type(refusal)
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        return list(pool.map(one, range(4)))


def opened(cast: Cast) -> Panel:
    """A panel of tess and olga."""
    issue = PaperIssue.objects.get()
    people = [cast.tess, cast.olga]
    return operations.open_panel(issue=issue, by=cast.max, people=people, extent=rules.Extent.PAPER, on=ON, at=AT)


@pytest.fixture
def cast(transactional_db: None) -> Cast:
    """The cast and a paper, written for every connection to see."""
    made = assemble()
    bank.load_questions(questions(), at=AT)
    quizzes.load_papers([paper()], at=AT)
    return made


@pytest.mark.both
class TestTwins:
    def test_open_one_panel(self, cast: Cast) -> None:
        """The others are told of it."""
        answers = at_once(lambda _number: opened(cast))
        assert answers.count(operations.Taken) == 3 and Panel.objects.count() == 1
        assert Entry.objects.filter(act="panel opened").count() == 1

    def test_close_one_round(self, cast: Cast) -> None:
        """Four presses on the first round leave the second open."""
        panel = opened(cast)
        judge = PanelJudge.objects.select_related("panel").first()
        operations.keep_estimates(judge=judge, number=rules.FIRST, percents=dict.fromkeys(range(1, 6), 50), at=AT)
        answers = at_once(lambda _number: operations.close_round(panel=panel, number=rules.FIRST, by=cast.max, at=AT))
        assert answers.count(operations.RoundClosed) == 3
        panel.refresh_from_db()
        assert panel.stage is rules.Stage.SECOND

    def test_keep_one_estimate_a_question(self, cast: Cast) -> None:
        """A sheet sent twice is kept once."""
        opened(cast)
        judge = PanelJudge.objects.select_related("panel").first()
        at_once(
            lambda number: operations.keep_estimates(
                judge=judge, number=rules.FIRST, percents=dict.fromkeys(range(1, 6), 50 + number), at=AT
            )
        )
        assert PanelEstimate.objects.count() == 5
        assert len(set(PanelEstimate.objects.values_list("percent", flat=True))) == 1
