"""Opening a sitting: the paper is drawn by its blueprint and stored as it is shown."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Count
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from training.bank.models import QuestionVersion
from training.bank.queries import drawn
from training.people.models import Person
from training.questions.papers import Cell, Infeasible, Pooled, assemble
from training.questions.pools import pool_of
from training.quizzes import queries
from training.quizzes.models import Paper, PaperIssue, Sitting, SittingItem
from training.quizzes.operations.handing_in import locked, mark


class MustWait(Exception):
    """The paper may not be sat before the day `until`."""

    def __init__(self, until: date) -> None:
        """Keep the day."""
        self.until = until
        super().__init__(_("You may sit this paper again from %(day)s.") % {"day": date_format(until)})


class PoolTooSmall(Exception):
    """There are not questions enough to put the paper together."""


def open_sitting(*, person: Person, paper: Paper, seed: str, at: datetime) -> Sitting:
    """Open a paper and return its sitting, or the one that is open already.

    A sitting whose time is over is handed in first. Raises MustWait or PoolTooSmall.
    """
    with transaction.atomic():
        # The person's row is the turnstile: of twelve taps on the button one draws the paper.
        Person.objects.select_for_update(no_key=True).get(pk=person.pk)
        issue = queries.issue_of(paper)
        row = queries.row(person, issue, at=at)
        if row.time_is_up:
            mark(locked(row.open_sitting), at=at)
            row = queries.row(person, issue, at=at)
        if row.open_sitting:
            return Sitting.objects.get(pk=row.open_sitting)
        if row.may:
            return _draw(person, issue, seed, at)
    raise MustWait(row.free_on)


def _draw(person: Person, issue: PaperIssue, seed: str, at: datetime) -> Sitting:
    versions = _pool(issue.body["language"])
    last = person.sittings.filter(paper=issue.paper).order_by("-opened_at").first()
    seen = last.items.values_list("question_version__question__key", flat=True) if last else ()
    used = SittingItem.objects.values_list("question_version__question__key").annotate(Count("pk"))
    pool = _pooled(versions, dict(used.order_by()))
    cells = [Cell(**cell) for cell in issue.body["cells"]]
    try:
        keys = assemble(cells, pool, seed=seed, avoid=set(seen))
    except Infeasible as error:
        raise PoolTooSmall(_("This paper cannot be put together now. Tell your trainer: %s") % error) from error
    due_at = at + timedelta(minutes=issue.body["minutes"])
    facts = {"person": person, "paper": issue.paper, "issue": issue, "seed": seed, "out_of": len(keys)}
    sitting = Sitting.objects.create(**facts, opened_at=at, due_at=due_at)
    items = [_item(sitting, position, versions[key]) for position, key in enumerate(keys, start=1)]
    SittingItem.objects.bulk_create(items)
    return sitting


def _pool(language: str) -> dict[str, QuestionVersion]:
    """Return the latest version of each question that a paper may draw, by key."""
    on_offer = QuestionVersion.objects.filter(question__retired_at__isnull=True).select_related("question")
    latest = {one.question.key: one for one in on_offer.order_by("question__key", "version")}
    mine = {key: one for key, one in latest.items() if one.body["language"] == language}
    return {key: one for key, one in mine.items() if pool_of(one.body).for_papers}


def _pooled(versions: Mapping[str, QuestionVersion], used: Mapping[str, int]) -> list[Pooled]:
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
    ]


def _item(sitting: Sitting, position: int, version: QuestionVersion) -> SittingItem:
    item = drawn(version, seed=f"{sitting.seed}:{position}")
    return SittingItem(
        sitting=sitting,
        position=position,
        question_version=version,
        shown=item.shown(),
        sealed=item.key(),
        digest=item.digest,
    )
