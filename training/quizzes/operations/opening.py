"""Opening a sitting: the rules agreed to, the identity confirmed, the paper drawn and stored as it is shown."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from training.bank.models import QuestionVersion
from training.bank.queries import drawn
from training.people.models import Person
from training.people.rules import local_day
from training.questions.papers import Infeasible, assemble
from training.quizzes import queries, rules
from training.quizzes.models import Admission, Paper, PaperIssue, Sitting, SittingItem
from training.quizzes.operations.handing_in import locked, mark


class NotYet(Exception):
    """The paper may not be opened by this person now; the sentence says why."""


class MustWait(NotYet):
    """The paper may not be sat before the day `until`."""

    def __init__(self, until: date) -> None:
        """Keep the day."""
        self.until = until
        super().__init__(_("You may sit this paper again from %(day)s.") % {"day": date_format(until)})


class MustRetrain(NotYet):
    """The paper was missed too often: retraining comes first, and is put on record by a trainer."""


class NotAdmitted(NotYet):
    """The consent is on record; the candidate waits for an invigilator to confirm who they are."""


class PoolTooSmall(NotYet):
    """There are not questions enough to put the paper together."""


def open_sitting(*, person: Person, paper: Paper, seed: str, at: datetime) -> Sitting:
    """Agree to the rules of a paper, open it and return its sitting, or the one that is open already.

    A sitting whose time is over is handed in first. Raises MustWait, MustRetrain, NotAdmitted or PoolTooSmall.
    """
    refusal: NotYet
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
        if row.free_on:
            refusal = MustWait(row.free_on)
        elif row.must_retrain:
            refusal = MustRetrain(_("You missed this paper too often: retraining comes first. Ask your trainer."))
        else:
            admission = _agree(person, paper, at)
            if not row.terms.invigilated or rules.admitted(admission.admitted_at, at=at):
                return _draw(admission, issue, row.topics, seed, at)
            refusal = NotAdmitted(_("Wait for the invigilator, who confirms who you are."))
    raise refusal


def _agree(person: Person, paper: Paper, at: datetime) -> Admission:
    """Record the consent to the rules; one whose identity was confirmed too long ago begins again."""
    waiting = Admission.objects.filter(person=person, paper=paper, sitting__isnull=True).first()
    if waiting is None:
        return Admission.objects.create(person=person, paper=paper, agreed_at=at)
    if not rules.admitted(waiting.admitted_at, at=at):
        waiting.agreed_at, waiting.invigilator, waiting.admitted_at = at, None, None
        waiting.save(update_fields=["agreed_at", "invigilator", "admitted_at"])
    return waiting


def _draw(admission: Admission, issue: PaperIssue, topics: tuple[str, ...], seed: str, at: datetime) -> Sitting:
    person = admission.person
    versions = queries.papers_pool(issue.body["language"])
    keys = _keys(person, issue, topics, versions, seed=seed, at=at)
    settled = queries.accommodation(person, issue.paper)
    whole = person.sittings.filter(paper=issue.paper, resumes__isnull=True).order_by("-opened_at")
    sitting = Sitting.objects.create(
        person=person,
        paper=issue.paper,
        issue=issue,
        seed=seed,
        out_of=len(keys),
        opened_at=at,
        due_at=at + timedelta(minutes=queries.time_for(issue, settled, topics)),
        accommodation=settled,
        break_left=timedelta(minutes=settled.break_minutes if settled else 0),
        resumes=whole.first() if topics else None,
    )
    items = [_item(sitting, position, versions[key]) for position, key in enumerate(keys, start=1)]
    SittingItem.objects.bulk_create(items)
    admission.sitting = sitting
    admission.save(update_fields=["sitting"])
    return sitting


def _keys(
    person: Person, issue: PaperIssue, topics: tuple[str, ...], versions: Mapping[str, QuestionVersion], *,
    seed: str, at: datetime,
) -> tuple[str, ...]:  # fmt: skip
    """Draw the questions: none of the last sitting, none seen elsewhere today, none of any sitting while others last.

    An anchor is on every paper of its cell all the same.
    """
    cells = queries.cells(issue, topics)
    pool = queries.pooled(versions, queries.uses(), language=issue.body["language"])
    today = queries.seen_outside(person, on=local_day(at, ZoneInfo(person.employer.zone)))
    last, earlier = _sat_before(person, issue.paper)
    try:
        return assemble(cells, pool, seed=seed, avoid=today | last | earlier)
    except Infeasible:
        pass
    try:
        return assemble(cells, pool, seed=seed, avoid=today | last)
    except Infeasible as error:
        words = _("This paper cannot be put together now. Tell your trainer: %s") % error
        if today:
            words = _("Too many of this paper's questions were practised today. Sit it tomorrow.")
        raise PoolTooSmall(words) from error


def _sat_before(person: Person, paper: Paper) -> tuple[set[str], set[str]]:
    """Return the keys of the person's last sitting of a paper, and those of every earlier one."""
    rows = SittingItem.objects.filter(sitting__person=person, sitting__paper=paper).order_by("sitting__opened_at")
    by_sitting: dict[object, set[str]] = {}
    for sitting, key in rows.values_list("sitting_id", "question_version__question__key"):
        by_sitting.setdefault(sitting, set()).add(key)
    *before, last = by_sitting.values() or [set()]
    return last, set().union(*before)


def _item(sitting: Sitting, position: int, version: QuestionVersion) -> SittingItem:
    item = drawn(version, seed=f"{sitting.seed}:{position}", known=())
    return SittingItem(
        sitting=sitting,
        position=position,
        question_version=version,
        shown=item.shown(),
        sealed=item.key(),
        digest=item.digest,
    )
