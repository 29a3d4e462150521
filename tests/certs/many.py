"""Cards by the thousand, written in bulk past the operations, with what happened to them as the operations note it."""

import itertools
import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from certs.cards import rules
from certs.cards.models import Card, Confirmation, Measure
from certs.cards.rules import Facts, Step
from certs.schemes.models import SchemeIssue
from certs.signoffs.models import Signoff
from training.content.schemes import Unconfirmed
from training.people.models import Employer, Person, RoleHeld
from training.people.rules import Role, folded
from training.quizzes.models import Paper, PaperIssue, Sitting

DAY = timedelta(days=1)
BATCH = 500
COUNT = itertools.count(1)


@dataclass(frozen=True)
class Life:
    """What a generated card is to be, and what happens to it, each in the order of entry."""

    valid_from: date
    last_day: date
    confirm_by: date
    renew_months: int = 6
    confirm_months: int = 6
    unconfirmed: Unconfirmed = Unconfirmed.STOPS
    measures: Sequence[tuple[Step, date]] = ()
    confirmed: Sequence[tuple[date, bool]] = ()
    followed_on: date | None = None
    facts: Facts = field(init=False)

    def __post_init__(self) -> None:
        facts = Facts(
            valid_from=self.valid_from,
            last_day=self.last_day,
            renew_months=self.renew_months,
            grace_months=6,
            confirm_by=self.confirm_by,
            confirm_months=self.confirm_months,
            unconfirmed=self.unconfirmed,
            confirmed_on=tuple(day for day, doubts in self.confirmed if not doubts),
            measures=tuple(self.measures),
        )
        object.__setattr__(self, "facts", facts)


def noon(day: date) -> datetime:
    return datetime.combine(day, time(12), tzinfo=UTC)


def people(employer: Employer, names: Iterable[str], *, since: date) -> list[Person]:
    """Save crew members of an employer."""
    made = Person.objects.bulk_create(
        [
            Person(username=f"many{next(COUNT)}", password="!", name=name, folded=folded(name), employer=employer)
            for name in names
        ],
        batch_size=BATCH,
    )
    RoleHeld.objects.bulk_create(
        [RoleHeld(person=one, role=Role.CREW, from_on=since) for one in made], batch_size=BATCH
    )
    return made


def cards(issue: SchemeIssue, lives: Sequence[tuple[Person, Life]], *, by: Person, closed: bool = False) -> list[Card]:
    """Save a card for each person, on a paper and a practical of its first day, with all that happens to it."""
    evidence = _evidence(issue, lives, by=by)
    made = Card.objects.bulk_create(
        [
            Card(
                number=f"X-{next(COUNT)}",
                person=person,
                scheme_id=issue.scheme_id,
                scheme_issue=issue,
                evidence=signoff,
                holder_name=person.name,
                issuer_name="Certification body",
                scope="as the scheme",
                ground="practical",
                held_since=life.valid_from,
                anchor=life.valid_from,
                months=36,
                valid_from=life.valid_from,
                last_day=life.last_day,
                zone="Europe/London",
                confirm_by=life.confirm_by,
                confirm_months=life.confirm_months,
                unconfirmed=life.unconfirmed,
                renew_months=life.renew_months,
                grace_months=6,
                issued_at=noon(life.valid_from),
                issued_by=by,
                closed_at=noon(life.last_day) if closed else None,
                followed_on=life.followed_on,
                **asdict(rules.kept(life.facts)),
            )
            for (person, life), signoff in zip(lives, evidence, strict=True)
        ],
        batch_size=BATCH,
    )
    pairs = [(card, life) for card, (_person, life) in zip(made, lives, strict=True)]
    Measure.objects.bulk_create(
        [
            Measure(card=card, step=step, on=day, at=noon(day), by=by, reason="a reason")
            for card, life in pairs
            for step, day in life.measures
        ],
        batch_size=BATCH,
    )
    Confirmation.objects.bulk_create((one for pair in pairs for one in _confirmations(*pair, by=by)), batch_size=BATCH)
    return made


def _confirmations(card: Card, life: Life, *, by: Person) -> Iterator[Confirmation]:
    """Note each with the due day it answers and the one that follows, as `operations.confirm` does."""
    counted: list[date] = []
    for day, doubts in life.confirmed:
        due = rules.confirm_by(_with(life.facts, counted), on=day)
        after = due if doubts else max(due, rules.add_months(day, life.confirm_months))
        yield Confirmation(
            card=card, by=by, on=day, entered_on=day, entered_at=noon(day), due_on=due, next_due_on=after,
            shots=1, evidence="job", doubts=doubts,
        )  # fmt: skip
        counted += [] if doubts else [day]


def _with(facts: Facts, confirmed: Sequence[date]) -> Facts:
    named: dict[str, Any] = {name: getattr(facts, name) for name in Facts.__dataclass_fields__}
    return Facts(**(named | {"confirmed_on": tuple(confirmed)}))


def _evidence(issue: SchemeIssue, lives: Sequence[tuple[Person, Life]], *, by: Person) -> list[Signoff]:
    paper, _made = Paper.objects.get_or_create(slug="theory")
    paper_issue, _made = PaperIssue.objects.get_or_create(
        paper=paper,
        version=1,
        defaults={"title": "Theory", "body": {}, "digest": "0" * 64, "loaded_at": noon(date(2020, 1, 1))},
    )
    sittings = Sitting.objects.bulk_create(
        [
            Sitting(
                person=person, paper=paper, issue=paper_issue, seed="many", opened_at=noon(life.valid_from),
                due_at=noon(life.valid_from), handed_in_at=noon(life.valid_from), earned_numerator=9,
                earned_denominator=1, out_of=10, passed=True,
            )
            for person, life in lives
        ],
        batch_size=BATCH,
    )  # fmt: skip
    return Signoff.objects.bulk_create(
        [
            Signoff(
                person=person, scheme_issue=issue, assessor=by, sitting=sitting, assessed_on=life.valid_from,
                signed_at=noon(life.valid_from), place="Training track", air_c=Decimal("8.0"), leads_in=True,
                meter="M-1", calibrated_until=life.last_day, checks=[], limit_uohm=Decimal(120),
                limit_source="own figure", passed=True,
            )
            for (person, life), sitting in zip(lives, sittings, strict=True)
        ],
        batch_size=BATCH,
    )  # fmt: skip


def life_near(days: Sequence[date], draw: random.Random) -> Life:
    """Draw a card whose days lie on, or one beside, the days that will be asked about, or a span of months from one."""

    def near(*months: int) -> date:
        day = rules.add_months(draw.choice(days), draw.choice((0, *months)))
        return day + draw.choice((-1, 0, 0, 1)) * DAY

    valid_from = near(-36, -6, -30)
    renew_months, confirm_months = draw.choice((0, 1, 6, 6, 12)), draw.choice((1, 6, 6, 12))
    last_day = max(valid_from, draw.choice((near(1, 6, 12), rules.add_months(valid_from, 36) - DAY)))
    steps = [(draw.choice(list(Step)[: draw.choice((2, 2, 4))]), near()) for _ in range(draw.choice((0, 0, 1, 2, 4)))]
    confirmed = sorted(near(-1, -6, -12) for _ in range(draw.choice((0, 1, 2, 5))))
    return Life(
        valid_from=valid_from,
        last_day=last_day,
        confirm_by=max(valid_from, draw.choice((near(1, 6), rules.add_months(valid_from, confirm_months)))),
        renew_months=renew_months,
        confirm_months=confirm_months,
        unconfirmed=draw.choice(list(Unconfirmed)),
        # A measure takes effect on the day of its entry, so they follow each other.
        measures=sorted(steps, key=lambda pair: pair[1]),
        confirmed=[(day, draw.random() < 0.2) for day in confirmed],
    )
