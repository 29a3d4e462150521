"""What the home page says of papers marked again: to the candidate, and to those who decide about a card on one."""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from certs.cards.models import Card, Measure
from certs.cards.rules import local_day
from certs.schemes.models import Authority
from certs.schemes.rules import Act
from training.people.models import Person
from training.people.rules import Role
from training.quizzes.models import Remark, Sitting
from training.quizzes.queries import counting, passed, remarks_of
from training.reviews.models import Appeal
from training.reviews.queries.appeals import own_appeals
from training.reviews.queries.lists import Waiting
from training.reviews.queries.lists import waiting as reviews_waiting

# A candidate who signs in once a month still finds it (house rule).
NEWS = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class News:
    """A paper of one's own that was marked again, and what that did to its result."""

    pk: UUID
    title: str
    on: date
    passed: bool
    turned: bool


@dataclass(frozen=True, slots=True)
class Asked:
    """An appeal of one's own, and where it stands in words."""

    pk: int
    title: str
    state: str


@dataclass(frozen=True, slots=True)
class Resting:
    """A card that rests on a paper which, marked again, is not passed."""

    number: str
    name: str
    scheme: str
    sitting: UUID
    since: date


@dataclass(frozen=True, slots=True)
class MarkedAgain:
    """What the home page says; `waits` is None for whom it is not theirs."""

    news: tuple[News, ...]
    asked: tuple[Asked, ...]
    resting: tuple[Resting, ...]
    waits: Waiting | None


def marked_again(
    person: Person, people: QuerySet[Person], *, roles: AbstractSet[Role], across: bool, on: date, at: datetime
) -> MarkedAgain:
    """Gather what a person is told of papers marked again, in at most five queries."""
    staff = across and bool(roles & {Role.TRAINER, Role.ADMINISTRATOR})
    sits, since = Role.CREW in roles, at - NEWS
    return MarkedAgain(
        news=tuple(_news(one, person) for one in remarks_of(person, since=since)) if sits else (),
        asked=tuple(_asked(one) for one in own_appeals(person, since=since)) if sits else (),
        resting=_resting(person, people, every=across and Role.ADMINISTRATOR in roles, on=on) if staff else (),
        waits=reviews_waiting(person) if staff else None,
    )


def _news(remark: Remark, person: Person) -> News:
    return News(
        pk=remark.sitting_id,
        title=remark.sitting.issue.title,
        on=local_day(remark.at, person.employer.zone),
        passed=remark.passed,
        turned=remark.passed != remark.was_passed,
    )


def _asked(appeal: Appeal) -> Asked:
    return Asked(appeal.pk, appeal.sitting.issue.title, appeal.state_words)


def _resting(person: Person, people: QuerySet[Person], *, every: bool, on: date) -> tuple[Resting, ...]:
    """List the cards to decide about: all for an administrator, else those of schemes this person decides under."""
    found = resting(on=on).filter(person__in=people)
    if not every:
        mine = Authority.objects.in_force_on(on).filter(person=person, act=Act.DECIDES)
        found = found.filter(scheme__in=mine.values("scheme"))
    return tuple(
        Resting(
            number=card.number,
            name=card.holder_name,
            scheme=card.scheme_issue.title,
            sitting=card.evidence.sitting_id,
            since=local_day(card.turned_at, card.zone),
        )
        for card in found.select_related("scheme_issue", "evidence").order_by("turned_at", "pk")
    )


def resting(*, on: date) -> QuerySet[Card]:
    """Return the cards that hold on a day and rest on a paper that no longer counts as passed, with `turned_at`.

    A card leaves the list by a measure taken since, or when its holder has passed the paper again.
    """
    failed = counting(Sitting.objects.filter(passed=True)).filter(counts_passed=False)
    turned = Remark.objects.filter(sitting=OuterRef("evidence__sitting"), was_passed=True, passed=False)
    again = passed(Sitting.objects.filter(person=OuterRef("person"), paper=OuterRef("evidence__sitting__paper")))
    cards = Card.objects.valid_on(on).filter(evidence__sitting__in=failed.values("pk"))
    cards = cards.annotate(turned_at=Subquery(turned.order_by("-number").values("at")[:1]))
    taken = Measure.objects.filter(card=OuterRef("pk"), at__gte=OuterRef("turned_at"))
    return cards.exclude(Exists(taken)).exclude(Exists(again))
