"""A site with a paper, five trainers and a panel on its pass mark."""

from collections.abc import Callable

import pytest
import time_machine

from tests.cast import AT, ON, Cast, person
from tests.training.quizzes.pool import paper, questions
from training.bank import operations as bank
from training.panels import operations, rules
from training.panels.models import Panel, PanelJudge
from training.people.models import Person
from training.people.rules import Role
from training.quizzes import operations as quizzes
from training.quizzes.models import PaperIssue

# Six judges on five questions, in persons of a hundred: their sums are 2.5 2.8 3.0 3.1 3.3 3.5, so the mean is 91/30
# and the squares off it add up to 57/90. Standard error: the root of 57/90/5/6, which is 114/900/6 (worked by hand).
ESTIMATES = (
    (50, 50, 50, 50, 50),
    (60, 50, 60, 60, 50),
    (60, 60, 60, 60, 60),
    (70, 60, 60, 60, 60),
    (70, 60, 70, 60, 70),
    (70, 70, 70, 70, 70),
)


@pytest.fixture
def site(cast: Cast):
    """The cast, with questions and a paper of five questions loaded, at AT."""
    bank.load_questions(questions(), at=AT)
    quizzes.load_papers([paper()], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def issue(site: Cast) -> PaperIssue:
    """The paper's issue."""
    return PaperIssue.objects.select_related("paper").get()


@pytest.fixture
def six(site: Cast) -> list[Person]:
    """Six trainers: two of the cast, four more of two employers; each is in the cast under their user name."""
    further = [("una", site.body), ("vera", site.body), ("wim", site.northmoor), ("xan", site.elsewhere)]
    made = [person(name, name.title(), employer, Role.TRAINER) for name, employer in further]
    for one in made:
        setattr(site, one.username, one)
    return [site.tess, site.olga, *made]


@pytest.fixture
def panel(site: Cast, issue: PaperIssue, six: list[Person]) -> Panel:
    """A panel of the six, opened by max, who is no judge."""
    return operations.open_panel(issue=issue, by=site.max, people=six, extent=rules.Extent.PAPER, on=ON, at=AT)


@pytest.fixture
def estimate(panel: Panel) -> Callable[..., None]:
    """Give the estimates of so many judges in a round."""

    def _estimate(number: int, judges: int = 6) -> None:
        seats = PanelJudge.objects.filter(panel=panel).order_by("pk").select_related("panel")
        for seat, row in zip(seats[:judges], ESTIMATES, strict=False):
            percents = dict(enumerate(row, start=1))
            operations.keep_estimates(judge=seat, number=number, percents=percents, at=AT)

    return _estimate


@pytest.fixture
def closed(site: Cast, panel: Panel, estimate) -> Panel:
    """The panel after both rounds, all six finished."""
    for number in (rules.FIRST, rules.SECOND):
        estimate(number)
        panel = operations.close_round(panel=panel, number=number, by=site.max, at=AT)
    return panel
