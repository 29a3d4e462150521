"""Appeals: what a candidate may still ask about a paper, one appeal with both marks, and the list."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Q, QuerySet
from django.utils.module_loading import import_string
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.bank import rules as bank
from training.bank.models import Correction
from training.bank.queries import changes
from training.drafts.models import Draft
from training.people.models import Person
from training.people.rules import Role, local_day, sees_every_employer
from training.questions.correcting import corrected
from training.questions.item import Item
from training.quizzes.models import Admission, PartMark, Sitting, SittingItem
from training.quizzes.queries import clock, counted
from training.quizzes.queries.counting import MARKS, latest, share
from training.quizzes.rules import figure
from training.reviews import rules
from training.reviews.models import Appeal
from training.reviews.rules import Part, State, Tie

TIE_WORDS = {
    Tie.CANDIDATE: gettext_lazy("Nobody looks at their own paper again."),
    Tie.NOT_STAFF: gettext_lazy("A trainer or an administrator of the certification body looks at it."),
    Tie.TRAINER: gettext_lazy("You trained the candidate for this paper, so another person looks at it."),
    Tie.INVIGILATOR: gettext_lazy("You let the candidate sit down to this paper, so another person looks at it."),
    Tie.AUTHOR: gettext_lazy("You wrote the question, so another person looks at it."),
    Tie.CORRECTOR: gettext_lazy("You had a part in correcting the key of the question, so another person looks at it."),
}


def appeals() -> QuerySet[Appeal]:
    """Return appeals with the people and the paper they are about."""
    return Appeal.objects.select_related(
        "sitting__issue", "sitting__paper", "sitting__person__employer", "candidate", "owner", "item", "remark__by"
    )


def ask_until(sitting: Sitting) -> date:
    """Return the last day on which the candidate may ask about a paper: one query."""
    zone = ZoneInfo(sitting.person.employer.zone)
    moments = [sitting.handed_in_at, *sitting.remarks.values_list("at", flat=True)]
    return rules.ask_until([local_day(at, zone) for at in moments])


@dataclass(frozen=True, slots=True)
class OwnPage:
    """A paper of one's own: what was asked about it, and what may be asked still."""

    sitting: Sitting
    score: str
    passed: bool
    appeals: tuple[Appeal, ...]
    until: date
    may_ask: bool
    questions: tuple[tuple[int, str], ...]


def own_page(sitting: Sitting, *, on: date) -> OwnPage:
    """Return the page on which a candidate asks about a paper: four queries.

    The questions of a paper that is not passed stay closed, so there they are numbers alone.
    """
    until, mark = ask_until(sitting), counted(sitting)
    items = sitting.items.order_by("position").values_list("position", "shown__prompt")
    return OwnPage(
        sitting=sitting,
        score=figure(mark.earned),
        passed=mark.passed,
        appeals=tuple(appeals().filter(sitting=sitting).order_by("asked_at", "pk")),
        until=until,
        may_ask=on <= until,
        questions=tuple((position, prompt if mark.passed else "") for position, prompt in items),
    )


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part of the question asked about: as answered, what is right, and the share it has now."""

    name: str
    prompt: str
    read: str
    right: tuple[str, ...]
    says: str
    share: Fraction
    score: str


@dataclass(frozen=True, slots=True)
class AppealPage:
    """An appeal as its candidate and those who answer see it; `why_not` says why this viewer may not own it.

    A candidate sees the question and its key once the paper is passed, as on the page of its result.
    """

    appeal: Appeal
    asked: str
    taken: str
    answered: str
    position: int | None
    prompt: str
    parts: tuple[PartLine, ...]
    was: str
    now: str
    out_of: int
    was_passed: bool
    now_passed: bool
    own: bool
    why_not: tuple[str, ...]
    may_take: bool
    may_answer: bool


def page(appeal: Appeal, *, person: Person, is_staff: bool) -> AppealPage:
    """Return the page of an appeal for the person who looks at it."""
    sitting, item, remark = appeal.sitting, appeal.item, appeal.remark
    mark = counted(sitting)
    own = appeal.candidate_id == person.pk
    tells = mark.passed or not own
    why_not = tuple(tie_words(appeal, person, is_staff=is_staff)) if appeal.is_free and not own else ()
    was = Fraction(remark.was_numerator, remark.was_denominator) if remark else mark.earned
    now = Fraction(remark.earned_numerator, remark.earned_denominator) if remark else mark.earned
    return AppealPage(
        appeal=appeal,
        asked=clock(appeal.asked_at, person),
        taken=clock(appeal.taken_at, person) if appeal.taken_at else "",
        answered=clock(appeal.answered_at, person) if appeal.answered_at else "",
        position=item.position if item else None,
        prompt=item.shown["prompt"] if item and tells else "",
        parts=lines(appeal) if tells else (),
        was=figure(was),
        now=figure(now),
        out_of=sitting.out_of,
        was_passed=remark.was_passed if remark else mark.passed,
        now_passed=remark.passed if remark else mark.passed,
        own=own,
        why_not=why_not,
        may_take=appeal.is_free and not own and not why_not,
        may_answer=appeal.state is State.LOOKED_AT and appeal.owner_id == person.pk,
    )


def lines(appeal: Appeal) -> tuple[PartLine, ...]:
    """Return the parts of the question asked about; none where it is about the paper as a whole."""
    return parts(appeal.item) if appeal.item else ()


def parts(item: SittingItem) -> tuple[PartLine, ...]:
    """Return the parts of a question with the marks that count, by the key as it stands now."""
    loaded = SittingItem.objects.prefetch_related(MARKS).get(pk=item.pk)
    marks = {mark.part: mark for mark in loaded.marks.all()}
    changed = changes([item.question_version_id]).get(item.question_version_id, ())
    drawn = corrected(Item.from_json(loaded.shown, loaded.sealed), changed)
    sides = zip(loaded.shown["parts"], drawn.key()["parts"], strict=True)
    return tuple(_line(shown, key, marks[shown["name"]]) for shown, key in sides)


def _line(shown: Mapping[str, Any], key: Mapping[str, Any], mark: PartMark) -> PartLine:
    last = latest(mark)
    return PartLine(
        name=shown["name"],
        prompt=shown["prompt"],
        read=mark.read,
        right=bank.right_answer(shown, key),
        says=last.says,
        share=share(last),
        score=figure(share(last)),
    )


def tie_words(appeal: Appeal, person: Person, *, is_staff: bool) -> list[str]:
    """Say what ties a person to an appeal; nothing means they may own it."""
    return [str(TIE_WORDS[tie]) for tie in rules.ties(part_of(appeal), person=person.pk, is_staff=is_staff)]


def part_of(appeal: Appeal) -> Part:
    """Load who had which part in a paper and in the question asked about."""
    sitting, item = appeal.sitting, appeal.item
    version = item.question_version_id if item else None
    drafts = Draft.objects.filter(used_as=version) if item else Draft.objects.none()
    written = drafts.values_list("made_by", "changed_by", "used_by")
    decided = Correction.objects.filter(question_version=version) if item else Correction.objects.none()
    return Part(
        candidate=appeal.candidate_id,
        trainers=trainers(sitting),
        invigilator=Admission.objects.filter(sitting=sitting).values_list("invigilator", flat=True).first(),
        authors=frozenset(one for row in written for one in row if one),
        correctors=frozenset(one for row in decided.values_list("proposed_by", "decided_by") for one in row if one),
    )


def trainers(sitting: Sitting) -> frozenset[int]:
    """Return who trained a candidate for a paper: said here at a retraining, or by a room further up."""
    again = sitting.person.retrainings.filter(paper=sitting.paper_id).values_list("said_by", flat=True)
    told = (import_string(path)(sitting.person, sitting.paper.slug) for path in settings.TRAINERS_NAMED_BY)
    return frozenset(again).union(*told)


def is_staff(person: Person, *, on: date) -> bool:
    """Say whether a person trains or administers for the certification body on a day."""
    held = person.roles_held.in_force_on(on).values_list("role", flat=True)
    return sees_every_employer({Role(role) for role in held}, of_the_body=person.employer.is_body)


@dataclass(frozen=True, slots=True)
class AppealRow:
    """An appeal in the list of those who answer."""

    pk: int
    name: str
    paper: str
    about: str
    asked_at: datetime
    state: str
    owner: str


def own_appeals(person: Person, *, since: datetime) -> list[Appeal]:
    """Return a candidate's appeals that wait or were answered since a moment, the newest first: one query."""
    rows = appeals().filter(candidate=person).filter(Q(answered_at__isnull=True) | Q(answered_at__gte=since))
    return list(rows.order_by("-asked_at", "-pk"))


def index(*, answered: bool, limit: int = 50) -> list[AppealRow]:
    """List the appeals that wait, the oldest first, or those answered, the newest first: one query."""
    rows = appeals().filter(answered_at__isnull=not answered).order_by("-answered_at" if answered else "asked_at", "pk")
    return [
        AppealRow(
            pk=one.pk,
            name=one.candidate.name,
            paper=one.sitting.issue.title,
            about=_("question %(number)d") % {"number": one.item.position} if one.item else one.get_wish_display(),
            asked_at=one.asked_at,
            state=one.state_words,
            owner=one.owner.name if one.owner else "",
        )
        for one in rows[:limit]
    ]
