"""The list of panels, and who may be named a judge."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Count, Exists, F, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from training.panels import rules
from training.panels.models import Panel, PanelEstimate, PanelJudge
from training.people.models import Person, RoleHeld
from training.people.rules import Role
from training.quizzes.models import Paper, PaperIssue


@dataclass(frozen=True, slots=True)
class Line:
    """A panel in the list; `waits` says that it waits for estimates of the reader's own."""

    pk: int
    title: str
    issue: int
    stage: rules.Stage
    judges: int
    opened_at: datetime
    waits: bool


@dataclass(frozen=True, slots=True)
class Listing:
    """The panels, newest first, and the papers on which a panel may be opened, by slug and title."""

    lines: tuple[Line, ...]
    papers: tuple[tuple[str, str], ...]


def index(panels: QuerySet[Panel], *, person: Person, may_open: bool) -> Listing:
    """List these panels, and for those who may open one the papers without an open panel: two queries."""
    mine = PanelEstimate.objects.filter(judge__panel=OuterRef("pk"), judge__person=person)
    rows = panels.select_related("issue").annotate(
        judge_count=Count("judges", distinct=True),
        question_count=Count("questions", distinct=True),
        sits=Exists(PanelJudge.objects.filter(panel=OuterRef("pk"), person=person)),
        **{f"own_{number}": _count(mine.filter(round=number)) for number in (rules.FIRST, rules.SECOND)},
    )
    return Listing(tuple(map(_line, rows.order_by("-opened_at", "-pk"))), _papers() if may_open else ())


def _count(rows: QuerySet[PanelEstimate]) -> Coalesce:
    counted = rows.order_by().values("judge").annotate(count=Count("pk")).values("count")
    return Coalesce(Subquery(counted), 0)


def _line(row: Any) -> Line:
    first, second = row.own_1 >= row.question_count, row.own_2 >= row.question_count
    waits = row.sits and rules.waits(row.stage, first=first, second=second)
    return Line(row.pk, row.issue.title, row.issue.version, row.stage, row.judge_count, row.opened_at, waits)


def _papers() -> tuple[tuple[str, str], ...]:
    newest = PaperIssue.objects.filter(paper=OuterRef("pk")).order_by("-version")
    papers = Paper.objects.filter(retired_at__isnull=True).annotate(
        newest=Subquery(newest.values("pk")[:1]), title=Subquery(newest.values("title")[:1])
    )
    at_work = Panel.objects.filter(second_closed_at__isnull=True, issue=OuterRef("newest"))
    free = papers.filter(newest__isnull=False).annotate(at_work=Subquery(at_work.values("pk")[:1]))
    rows = free.filter(at_work__isnull=True).order_by("title")
    return tuple(rows.values_list("slug", "title"))


def trainers(*, on: date) -> QuerySet[Person]:
    """Return the people who may be named judges on a day: those who then hold the role of trainer."""
    held = RoleHeld.objects.in_force_on(on).filter(role=Role.TRAINER)
    people = Person.objects.filter(is_active=True, pk__in=held.values("person"))
    return people.select_related("employer").order_by(F("employer__is_body").desc(), "name", "pk")
