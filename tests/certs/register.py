"""A register of any size: employers, crews, people, cards of two schemes, some of them renewed, work confirmed."""

import random
from collections.abc import Callable, Sequence
from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from certs.cards import rules
from certs.cards.rules import Step
from tests.cast import Cast
from tests.certs import many
from tests.certs.factory import scheme_issue
from training.people.models import Crew, CrewMembership, Employer, Person

EMPLOYERS, CREWS, BATCH = 200, 10, 2_000
GIVEN = "Aino Béla Chloé Dário Ewa Femi Günter Håkan Inês Jürgen Kwame Łucja Marek Nuala Ørjan Pavel".split()  # noqa: SIM905
FAMILY = "Adeyemi Björk Castro Dvořák Eriksen Fraser Gómez Hansen Iversen Jovanović Kowalski Lindqvist Müller".split()  # noqa: SIM905


def register(cast: Cast) -> Callable[[int], None]:
    """Make the employers, crews and schemes, and return what adds so many people with a dozen records each."""
    draw = random.Random(1)
    today = timezone.now().date()
    body, schemes = cast.olga, [scheme_issue(), scheme_issue(slug="leads", title="Leads")]
    employers = [cast.northmoor, *_employers(EMPLOYERS - 1)]
    crews = [Crew(employer=one, name=f"Gang {number + 2}") for one in employers for number in range(CREWS)]
    made = Crew.objects.bulk_create(crews)
    by_employer = [made[start : start + CREWS] for start in range(0, len(made), CREWS)]

    @transaction.atomic
    def grow(number: int) -> None:
        for start in range(0, number, BATCH):
            batch = range(start, min(start + BATCH, number))
            place = draw.randrange(EMPLOYERS) if number > BATCH else start % EMPLOYERS
            names = [f"{draw.choice(GIVEN)} {draw.choice(FAMILY)} {draw.randrange(1000)}" for _ in batch]
            for share in range(4):
                at = (place + share * 50) % EMPLOYERS
                people = many.people(employers[at], names[share::4], since=today - timedelta(days=4000))
                _join(people, by_employer[at], since=today - timedelta(days=4000))
                for issue in schemes:
                    lives = [(one, _life(today, draw)) for one in people]
                    earlier = [(one, _earlier(life)) for one, life in lives[::5]]
                    many.cards(issue, earlier, by=body, closed=True)
                    many.cards(issue, lives, by=body)

    return grow


def _employers(number: int) -> list[Employer]:
    rows = [Employer(name=f"Works {n:03}", slug=f"works-{n}", zone="Europe/London") for n in range(number)]
    return Employer.objects.bulk_create(rows)


def _join(people: Sequence[Person], crews: Sequence[Crew], *, since: date) -> None:
    CrewMembership.objects.bulk_create(
        [CrewMembership(person=one, crew=crews[n % len(crews)], from_on=since) for n, one in enumerate(people)],
        batch_size=many.BATCH,
    )


def _life(today: date, draw: random.Random) -> many.Life:
    """Draw a card begun within its 36 months, most with work confirmed lately, one in fifty suspended."""
    valid_from = today - timedelta(days=draw.randrange(1100))
    confirmed = []
    if (today - valid_from).days > 180 and draw.random() < 0.95:
        confirmed = [(valid_from + timedelta(days=170), False)]
        while (today - confirmed[-1][0]).days > 180:
            confirmed.append((confirmed[-1][0] + timedelta(days=170), False))
    return many.Life(
        valid_from=valid_from,
        last_day=rules.add_months(valid_from, 36) - many.DAY,
        confirm_by=rules.add_months(valid_from, 6),
        measures=[(Step.SUSPENDED, today - timedelta(days=9))] if draw.random() < 0.02 else (),
        confirmed=confirmed,
    )


def _earlier(life: many.Life) -> many.Life:
    valid_from = rules.add_months(life.valid_from, -36)
    return many.Life(
        valid_from=valid_from,
        last_day=life.valid_from,
        confirm_by=rules.add_months(valid_from, 6),
        measures=[(Step.REPLACED, life.valid_from)],
    )
