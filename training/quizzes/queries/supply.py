"""What the papers can be put together from: the questions each may draw, how worn they are, and what is wanting."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count

from training.bank.models import QuestionVersion
from training.bank.queries import told_dropped
from training.people.models import Person
from training.procedures.models import HoldAnswer
from training.questions.papers import Cell, Infeasible, Pooled, Shortage, assemble
from training.questions.pools import pool_of
from training.quizzes.models import PaperIssue, Seen, SittingItem
from training.quizzes.queries.titles import titles_of


@dataclass(frozen=True, slots=True)
class CellRow:
    """A cell of a blueprint: how many questions it wants, how many there are, how often the most used one came."""

    title: str
    level: str
    count: int
    held: int
    wanting: int
    most_used: int


@dataclass(frozen=True, slots=True)
class SupplyRow:
    """A paper with its cells; with some short of questions it cannot be put together now."""

    title: str
    slug: str
    cells: tuple[CellRow, ...]

    @property
    def short(self) -> tuple[CellRow, ...]:
        """Return the cells that questions are wanting for, once enemies stand apart."""
        return tuple(cell for cell in self.cells if cell.wanting)


def papers_pool(language: str | None = None) -> dict[str, QuestionVersion]:
    """Return the latest version of each question in use that a paper may draw, by key: one query."""
    in_use = QuestionVersion.objects.filter(question__retired_at__isnull=True).select_related("question")
    latest = {one.question.key: one for one in told_dropped(in_use).order_by("question__key", "version")}
    return {
        key: one
        for key, one in latest.items()
        if not one.dropped and pool_of(one.body).for_papers and language in (None, one.body["language"])
    }


def uses() -> dict[str, int]:
    """Return on how many sittings each question has been, by key: one query."""
    counted = SittingItem.objects.values_list("question_version__question__key").annotate(Count("pk"))
    return dict(counted.order_by())


def cells(issue: PaperIssue, topics: Collection[str] = ()) -> list[Cell]:
    """Return the cells of a paper, or of these topics only."""
    every = [Cell(**cell) for cell in issue.body["cells"]]
    return [cell for cell in every if not topics or cell.topic in topics]


def pooled(versions: Mapping[str, QuestionVersion], used: Mapping[str, int], *, language: str) -> list[Pooled]:
    """Return what the drawing of a paper needs to know of each question of a language."""
    return [
        Pooled(
            key=key,
            topic=one.topic,
            level=one.level,
            enemies=tuple(one.body.get("enemies", ())),
            uses=used.get(key, 0),
            anchor=one.body.get("anchor", False),
        )
        for key, one in versions.items()
        if one.body["language"] == language
    ]


def shortages(issue: PaperIssue, versions: Mapping[str, QuestionVersion]) -> tuple[Shortage, ...]:
    """Return the cells for which questions are wanting; none where the paper can be put together."""
    try:
        assemble(cells(issue), pooled(versions, {}, language=issue.body["language"]), seed=issue.digest)
    except Infeasible as error:
        return error.shortages
    return ()


def supply() -> tuple[SupplyRow, ...]:
    """Return every paper in use with its cells: four queries."""
    issues = PaperIssue.objects.select_related("paper").filter(paper__retired_at__isnull=True)
    latest = {issue.paper_id: issue for issue in issues.order_by("paper__slug", "version")}
    versions, used = papers_pool(), uses()
    titles = titles_of({cell["topic"] for issue in latest.values() for cell in issue.body["cells"]})
    return tuple(_supply(issue, versions, used, titles) for issue in latest.values())


def _supply(
    issue: PaperIssue,
    versions: Mapping[str, QuestionVersion],
    used: Mapping[str, int],
    titles: Mapping[str, str],
) -> SupplyRow:
    wanting = {(one.topic, one.level): one for one in shortages(issue, versions)}
    pool = pooled(versions, used, language=issue.body["language"])
    rows = []
    for cell in cells(issue):
        mine = [one for one in pool if (one.topic, one.level) == (cell.topic, cell.level)]
        short = wanting.get((cell.topic, cell.level))
        rows.append(
            CellRow(
                title=titles.get(cell.topic, cell.topic),
                level=cell.level,
                count=cell.count,
                held=len(mine),
                wanting=short.wanting if short else 0,
                most_used=max((one.uses for one in mine), default=0),
            )
        )
    return SupplyRow(issue.title, issue.paper.slug, tuple(rows))


def seen_outside(person: Person, *, on: date) -> set[str]:
    """Return the keys of what a person saw outside examinations on a local day: two queries."""
    start, end = _day(person, on)
    held = HoldAnswer.objects.filter(person=person, answered_at__gte=start, answered_at__lt=end)
    seen = Seen.objects.filter(person=person, on=on).values_list("question__key", flat=True)
    return {*seen, *held.values_list("question_version__question__key", flat=True)}


def examined(person: Person, *, on: date) -> set[str]:
    """Return the keys of what stands on the papers a person opened on a local day: one query."""
    start, end = _day(person, on)
    items = SittingItem.objects.filter(
        sitting__person=person, sitting__opened_at__gte=start, sitting__opened_at__lt=end
    )
    return set(items.values_list("question_version__question__key", flat=True))


def _day(person: Person, on: date) -> tuple[datetime, datetime]:
    zone = ZoneInfo(person.employer.zone)
    return tuple(datetime.combine(day, time.min, zone) for day in (on, on + timedelta(days=1)))  # type: ignore[return-value]
