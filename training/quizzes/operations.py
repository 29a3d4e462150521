"""Loading questions and papers, and the acts of a sitting: open, keep, hand in."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Count
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from training.content.papers import PaperSpec
from training.content.questions import read_question
from training.content.tally import Tally
from training.ledger.operations import write
from training.people.models import Person
from training.questions import marking
from training.questions.book import calculations
from training.questions.canonical import digest
from training.questions.draw import draw
from training.questions.item import Item
from training.questions.papers import Cell, Infeasible, Pooled, assemble
from training.questions.specs import QuestionSpec
from training.quizzes import queries, rules
from training.quizzes.models import (
    Answer,
    Paper,
    PaperIssue,
    PartMark,
    Question,
    QuestionVersion,
    Sitting,
    SittingItem,
)

Answers = Mapping[int, Mapping[str, object]]


class ChangedContent(Exception):  # noqa: N818 (says what is the case)
    """Content differs from what was loaded under the same or a later version; `names` lists each."""

    def __init__(self, names: Sequence[str]) -> None:
        """Keep the names."""
        self.names = tuple(names)
        words = _("Changed without a higher version: %(names)s. Raise the version and load again.")
        super().__init__(words % {"names": ", ".join(names)})


@dataclass(frozen=True, slots=True)
class _Shelf:
    """Two tables: things under a lasting name, and their frozen versions."""

    lasting: type[Question] | type[Paper]
    name: str
    frozen: type[QuestionVersion] | type[PaperIssue]
    link: str


def load_questions(specs: Iterable[QuestionSpec], *, at: datetime) -> Tally:
    """Bring the questions up to these specs; those left out are retired. Raises ChangedContent, loading nothing."""
    shelf = _Shelf(Question, "key", QuestionVersion, "question")
    names = ("kind", "topic", "level", "safety")
    return _load(shelf, {spec.key: (spec, {n: getattr(spec, n) for n in names}) for spec in specs}, at=at)


def load_papers(specs: Iterable[PaperSpec], *, at: datetime) -> Tally:
    """Bring the papers up to these specs; those left out are retired. Raises ChangedContent, loading nothing."""
    shelf = _Shelf(Paper, "slug", PaperIssue, "paper")
    return _load(shelf, {spec.slug: (spec, {"title": spec.title}) for spec in specs}, at=at)


def _load(shelf: _Shelf, wanted: Mapping[str, tuple[Any, dict[str, Any]]], *, at: datetime) -> Tally:
    with transaction.atomic():
        rows = {getattr(row, shelf.name): row for row in shelf.lasting.objects.select_for_update()}
        held = shelf.frozen.objects.order_by("version").values_list(f"{shelf.link}_id", "version", "digest")
        latest = {pk: (version, mark) for pk, version, mark in held}
        tally, refused = Tally(), []
        for name, (spec, facts) in wanted.items():
            row = rows.get(name) or shelf.lasting(**{shelf.name: name})
            version, mark = latest.get(row.pk, (0, ""))
            if (version, mark) == (spec.version, spec.digest) and row.retired_at is None:
                tally += Tally(unchanged=1)
                continue
            tally += Tally(revised=1) if version else Tally(new=1)
            if spec.version <= version and mark != spec.digest:
                refused.append(name)
                continue
            row.retired_at = None
            row.save()
            if spec.version > version:
                facts |= {"version": spec.version, "body": spec.as_json(), "digest": spec.digest}
                shelf.frozen.objects.create(**{shelf.link: row}, **facts, loaded_at=at)
        if refused:
            raise ChangedContent(refused)
        gone = shelf.lasting.objects.filter(retired_at__isnull=True).exclude(**{f"{shelf.name}__in": list(wanted)})
        return tally + Tally(retired=gone.update(retired_at=at))


class MustWait(Exception):  # noqa: N818 (says what is the case)
    """The paper may not be sat before the day `until`."""

    def __init__(self, until: date) -> None:
        """Keep the day."""
        self.until = until
        super().__init__(_("You may sit this paper again from %(day)s.") % {"day": date_format(until)})


class PoolTooSmall(Exception):  # noqa: N818 (says what is the case)
    """There are not questions enough to put the paper together."""


class Closed(Exception):  # noqa: N818 (says what is the case)
    """The paper is handed in, or its time is over and it was handed in just now."""


class AskAgain(Exception):  # noqa: N818 (says what is the case)
    """Answers that cannot be read must be asked for again; everything given was kept. `problems` lists them."""

    def __init__(self, problems: Sequence[rules.Problem]) -> None:
        """Keep the problems."""
        self.problems = tuple(problems)
        super().__init__("; ".join(problem.sentence for problem in self.problems))


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
            _mark(_locked(row.open_sitting), at=at)
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
    """Return the latest version of each question on offer, by key."""
    on_offer = QuestionVersion.objects.filter(question__retired_at__isnull=True).select_related("question")
    latest = {one.question.key: one for one in on_offer.order_by("question__key", "version")}
    return {key: one for key, one in latest.items() if one.body["language"] == language}


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
    # Draws were tried when the question was loaded; trying them again would cost the candidate seconds.
    spec = read_question(version.body, book=calculations(), seeds=0)
    item = draw(spec, f"{sitting.seed}:{position}")
    return SittingItem(
        sitting=sitting,
        position=position,
        question_version=version,
        shown=item.shown(),
        sealed=item.key(),
        digest=item.digest,
    )


def keep(*, sitting: Sitting, answers: Answers, at: datetime) -> tuple[rules.Problem, ...]:
    """Keep answers by place and part, and return those that cannot be read. Raises Closed.

    A response is text for a number, the id of an option, or a list of ids; anything else is left out.
    """
    with transaction.atomic():
        locked = _locked(sitting.pk)
        late = locked.handed_in_at is None and rules.overdue(due_at=locked.due_at, at=at)
        if late:
            _mark(locked, at=at)
        if locked.handed_in_at is None:
            return _keep(locked, answers, at)
    raise Closed


def hand_in(*, sitting: Sitting, answers: Answers, at: datetime) -> Sitting:
    """Hand in and mark a paper; a second time changes nothing. Returns the sitting with its mark.

    After the time and its grace, `answers` are not looked at and what was kept counts. Raises AskAgain.
    """
    problems: Sequence[rules.Problem] = ()
    with transaction.atomic():
        locked = _locked(sitting.pk)
        if locked.handed_in_at is None:
            if not rules.overdue(due_at=locked.due_at, at=at):
                problems = _keep(locked, answers, at)
            if not problems:
                _mark(locked, at=at)
    if problems:
        raise AskAgain(problems)
    return locked


def _locked(pk: object) -> Sitting:
    wanted = Sitting.objects.select_related("issue", "person__employer")
    return wanted.select_for_update(of=("self",)).get(pk=pk)


def _items(sitting: Sitting) -> list[tuple[SittingItem, dict[str, Any]]]:
    """Return the items of a sitting with what was last kept for each."""
    rows = sitting.items.select_related("question_version", "answer").order_by("position")
    return [(row, row.answer.given if hasattr(row, "answer") else {}) for row in rows]


def _keep(sitting: Sitting, answers: Answers, at: datetime) -> tuple[rules.Problem, ...]:
    problems: list[rules.Problem] = []
    rows = []
    for item, before in _items(sitting):
        given = before | rules.tidy(item.shown["parts"], answers.get(item.position))
        rows.append(Answer(item=item, given=given, kept_at=at))
        problems += _problems(item, given)
    Answer.objects.bulk_create(rows, update_conflicts=True, unique_fields=["item"], update_fields=["given", "kept_at"])
    return tuple(problems)


def _problems(item: SittingItem, given: Mapping[str, Any]) -> list[rules.Problem]:
    drawn = Item.from_json(item.shown, item.sealed)
    unread = [
        rules.Problem(item.position, one.part, one.sentence)
        for one in marking.unreadable(drawn, rules.responses(given))
    ]
    words = _("Give every line a place of its own, from 1 to the last.")
    return unread + [rules.Problem(item.position, part, words) for part in rules.unfinished(given)]


def _mark(sitting: Sitting, *, at: datetime) -> None:
    """Mark what was kept and close the sitting; answers that cannot be read any more count as blank."""
    marked, rows = [], []
    for item, given in _items(sitting):
        marks = _part_marks(item, given)
        version = item.question_version
        shares = tuple(one.share for one in marks)
        marked.append(rules.Marked(item.position, version.topic, version.safety, shares))
        rows += [_row(item, one) for one in marks]
    PartMark.objects.bulk_create(rows)
    outcome = rules.outcome(marked, passing=queries.passing(sitting.issue))
    sitting.handed_in_at = rules.ended_at(opened_at=sitting.opened_at, due_at=sitting.due_at, at=at)
    sitting.earned_numerator, sitting.earned_denominator = outcome.earned.as_integer_ratio()
    sitting.passed = outcome.passed
    sitting.save(update_fields=["handed_in_at", "earned_numerator", "earned_denominator", "passed"])
    facts = [[one.item_id, one.part, one.share_numerator, one.share_denominator] for one in rows]
    about = {"sitting": str(sitting.pk), "issue": sitting.issue_id, "passed": sitting.passed, "marks": digest(facts)}
    write(by=sitting.person_id, act="paper handed in", about=about, at=at)


def _part_marks(item: SittingItem, given: Mapping[str, Any]) -> list[marking.PartMark]:
    drawn = Item.from_json(item.shown, item.sealed)
    problems = {one.part: one.sentence for one in _problems(item, given)}
    readable = {part: one for part, one in rules.responses(given).items() if part not in problems}
    return [
        replace(one, flags=("unreadable",), says=problems[one.name]) if one.name in problems else one
        for one in marking.mark(drawn, readable)
    ]


def _row(item: SittingItem, one: marking.PartMark) -> PartMark:
    return PartMark(
        item=item,
        part=one.name,
        share_numerator=one.share.numerator,
        share_denominator=one.share.denominator,
        flags=list(one.flags),
        misconception=one.misconception or "",
        says=one.says,
        read=one.read[:400],
    )
