"""The blueprint, the questions and the estimates of a panel, as its rules want them."""

from collections.abc import Mapping

from training.bank.models import QuestionVersion
from training.panels import rules
from training.panels.models import Panel, PanelEstimate
from training.questions.canonical import digest
from training.questions.papers import Pooled
from training.quizzes.models import PaperIssue
from training.quizzes.queries import cells, papers_pool, pooled


def pool(issue: PaperIssue) -> dict[str, QuestionVersion]:
    """Return the newest version of each question that a paper of this issue may draw, by key: one query."""
    held = {(cell.topic, cell.level) for cell in cells(issue)}
    every = papers_pool(issue.body["language"])
    return {key: one for key, one in every.items() if (one.topic, one.level) in held}


def asked(issue: PaperIssue, versions: Mapping[str, QuestionVersion]) -> list[Pooled]:
    """Return questions by key as the rules want them."""
    return pooled(versions, {}, language=issue.body["language"])


def on_panel(panel: Panel) -> dict[int, QuestionVersion]:
    """Return the questions of a panel by position: one query."""
    rows = panel.questions.select_related("version__question").order_by("position")
    return {row.position: row.version for row in rows}


def judged(panel: Panel) -> dict[int, dict[int, dict[str, int]]]:
    """Return the estimates of a panel by round, judge and key of the question: one query."""
    rounds: dict[int, dict[int, dict[str, int]]] = {rules.FIRST: {}, rules.SECOND: {}}
    rows = PanelEstimate.objects.filter(judge__panel=panel).order_by("judge_id", "question__position")
    for number, judge, key, percent in rows.values_list(
        "round", "judge_id", "question__version__question__key", "percent"
    ):
        rounds[number].setdefault(judge, {})[key] = percent
    return rounds


def result(
    panel: Panel, versions: Mapping[int, QuestionVersion], given: Mapping[int, Mapping[str, int]]
) -> rules.Result:
    """Return what the estimates of one round come to; the panel's issue must be loaded."""
    questions, judges = finished(panel, versions, given)
    return rules.result(cells(panel.issue), questions, judges)


def finished(
    panel: Panel, versions: Mapping[int, QuestionVersion], given: Mapping[int, Mapping[str, int]]
) -> tuple[list[Pooled], list[Mapping[str, int]]]:
    """Return the questions of a panel, and the estimates of the judges who finished a round."""
    questions = asked(panel.issue, {one.question.key: one for one in versions.values()})
    return questions, list(rules.finished(given, questions).values())


def fingerprint(given: Mapping[int, Mapping[str, int]]) -> str:
    """Return the fingerprint of the estimates of one round, as the ledger holds it: 64 hex digits."""
    return digest([[judge, key, percent] for judge, one in sorted(given.items()) for key, percent in one.items()])
