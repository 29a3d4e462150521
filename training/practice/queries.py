"""What the pages of practice show."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django.utils.translation import get_language

from training.bank import rules as bank
from training.bank.models import QuestionVersion
from training.bank.queries import SheetQuestion, Told, changes, told, told_dropped
from training.people.models import Person
from training.practice.models import Practice
from training.procedures.models import Revision
from training.questions import marking
from training.questions.correcting import corrected
from training.questions.item import Item
from training.questions.pools import pool_of


@dataclass(frozen=True, slots=True)
class Subject:
    """A subject to practise: its title, how many questions it has, whether one is open, how many were tried."""

    topic: str
    title: str
    questions: int
    tried: int


@dataclass(frozen=True, slots=True)
class Index:
    """The subjects, and whether an examination paper is open, which comes first."""

    subjects: tuple[Subject, ...]
    paper_open: bool


@dataclass(frozen=True, slots=True)
class Page:
    """One practice question: asked, or told with its working; `left` is one told without having been tried."""

    topic: str
    title: str
    questions: tuple[SheetQuestion, ...]
    told: Told | None
    right: bool
    left: bool = False


def pool(topic: str | None = None) -> dict[str, QuestionVersion]:
    """Return the newest version of each question that practice may ask, by key: one query.

    They are in the language of the page where there are any, else in the language there is.
    """
    rows = QuestionVersion.objects.filter(question__retired_at__isnull=True).select_related("question")
    newest = {one.question.key: one for one in told_dropped(rows).order_by("question__key", "version")}
    usable = {
        key: one
        for key, one in newest.items()
        if pool_of(one.body).for_practice and not one.dropped and topic in (None, one.topic)
    }
    language = (get_language() or "en").partition("-")[0]
    return {key: one for key, one in usable.items() if one.body["language"] == language} or usable


def index(person: Person) -> Index:
    """Return the subjects to practise: four queries."""
    held = Counter(one.topic for one in pool().values())
    tried = Counter(person.practice.filter(answered_at__isnull=False).values_list("topic", flat=True))
    rows = Revision.objects.filter(module__slug__in=held).select_related("module").order_by("order", "number")
    names: dict[str, str] = {}
    for revision in rows:
        names[revision.module.slug] = revision.title
    subjects = (Subject(topic, names.get(topic, topic), held[topic], tried[topic]) for topic in {**names, **held})
    return Index(tuple(subjects), paper_open=paper_open(person))


def paper_open(person: Person) -> bool:
    """Say whether the person has an examination paper open: one query."""
    return person.sittings.filter(handed_in_at__isnull=True).exists()


def title(topic: str) -> str:
    """Return the title of a subject."""
    latest = Revision.objects.filter(module__slug=topic).order_by("-number").first()
    return latest.title if latest else topic


def shown(person: Person, topic: str) -> Mapping[str, int]:
    """Return how often each question of a subject was asked this person in practice: one query."""
    return Counter(person.practice.filter(topic=topic).values_list("question_version__question__key", flat=True))


def asked_on(person: Person, topic: str, on: date) -> int:
    """Return how many questions of a subject were asked this person on a local day."""
    start = datetime.combine(on, time.min, ZoneInfo(person.employer.zone))
    return person.practice.filter(topic=topic, asked_at__gte=start).count()


def page(practice: Practice) -> Page:
    """Return the page of a practice question: at most two queries."""
    question = SheetQuestion(1, practice.shown, practice.given)
    if practice.answered_at is None:
        return Page(practice.topic, title(practice.topic), (question,), None, right=False)
    put_right = changes([practice.question_version_id]).get(practice.question_version_id, ())
    item = corrected(Item.from_json(practice.shown, practice.sealed), put_right)
    marks = marking.mark(item, bank.responses(practice.given))
    return Page(
        practice.topic,
        title(practice.topic),
        (question,),
        told(practice.shown, item.key(), marks),
        right=bank.all_right([mark.share for mark in marks]),
        left=all(bank.blank(one) for one in practice.given.values()),
    )
