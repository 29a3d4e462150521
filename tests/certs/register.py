"""A register of any size: employers, sites, crews, people, cards of two schemes, work confirmed.

A thousand people are drawn and saved; more are copies of them, made by the database itself, so that a hundred
thousand take seconds and no memory.
"""

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db import connection, models, transaction
from django.utils import timezone

from certs.cards import rules
from certs.cards.models import Card, Confirmation, Measure
from certs.cards.rules import Step
from certs.signoffs.models import Signoff
from tests.cast import Cast
from tests.certs import many
from tests.certs.factory import scheme_issue
from training.people.models import Crew, CrewMembership, Employer, Person, RoleHeld, Site
from training.people.rules import folded
from training.quizzes.models import Sitting

DRAWN, EMPLOYERS, CREWS = 1_000, 200, 10
# In the order in which their rows name each other.
COPIED = (Person, RoleHeld, CrewMembership, Sitting, Signoff, Card, Measure, Confirmation)
GIVEN = "Aino Béla Chloé Dário Ewa Femi Günter Håkan Inês Jürgen Kwame Łucja Marek Nuala Ørjan Pavel".split()  # noqa: SIM905
FAMILY = "Adeyemi Björk Castro Dvořák Eriksen Fraser Gómez Hansen Iversen Jovanović Kowalski Lindqvist Müller".split()  # noqa: SIM905


def register(cast: Cast) -> Callable[[int], None]:
    """Make a register of DRAWN people, and return what makes it so many times as large."""
    draw = random.Random(1)
    today = timezone.now().date()
    since = today - timedelta(days=4000)
    employers, crews = _places(cast)
    schemes = [scheme_issue(), scheme_issue(slug="leads", title="Leads")]
    before = {model: _newest(model) for model in COPIED}
    with transaction.atomic():
        for place in range(0, EMPLOYERS, EMPLOYERS // 20):
            names = [f"{draw.choice(GIVEN)} {draw.choice(FAMILY)} {draw.randrange(1000)}" for _ in range(DRAWN // 20)]
            people = many.people(employers[place], names, since=since)
            _join(people, crews[place * CREWS : (place + 1) * CREWS], since=since)
            for issue in schemes:
                lives = [(one, _life(today, draw)) for one in people]
                many.cards(issue, [(one, _earlier(life)) for one, life in lives[::5]], by=cast.olga, closed=True)
                many.cards(issue, lives, by=cast.olga)
    drawn = {model: (before[model], _newest(model) - before[model]) for model in COPIED}

    @transaction.atomic
    def grow(times: int) -> None:
        copying = _Copying(drawn, times, employers[0].pk, crews[0].pk)
        with connection.cursor() as cursor:
            for model in COPIED:
                cursor.execute(copying.statement(model))
            cursor.execute("ANALYZE")

    return grow


def _places(cast: Cast) -> tuple[list[Employer], list[Crew]]:
    works = [Employer(name=f"Works {n:03}", slug=f"works-{n}", zone="Europe/London") for n in range(EMPLOYERS)]
    employers = Employer.objects.bulk_create(works)
    sites = Site.objects.bulk_create([Site(employer=one, name="Depot") for one in employers])
    crews = [
        Crew(employer=site.employer, name=f"Gang {number + 2}", site=site) for site in sites for number in range(CREWS)
    ]
    return employers, Crew.objects.bulk_create(crews)


def _newest(model: type[models.Model]) -> int:
    """Return the number of the newest row; rows that have none stand in tables that were empty."""
    if isinstance(model._meta.pk, models.UUIDField):
        return 0
    return int(model._default_manager.aggregate(newest=models.Max("pk"))["newest"] or 0)


@dataclass(frozen=True)
class _Copying:
    """Copies the drawn rows of each table: so many times less one, in one statement a table.

    A copy names the copies of the rows that its original names, and works for the next employer along.
    """

    drawn: Mapping[type[models.Model], tuple[int, int]]
    times: int
    first_employer: int
    first_crew: int

    def statement(self, model: type[models.Model]) -> str:
        quote = connection.ops.quote_name
        fields = model._meta.concrete_fields
        columns = ", ".join(quote(field.column) for field in fields)
        values = ", ".join(self.value(model, field) for field in fields)
        table = quote(model._meta.db_table)
        numbers = f"k(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM k WHERE n < {self.times - 1})"  # noqa: S608
        start, size = self.drawn[model]
        some = f"WHERE r.id > {start} AND r.id <= {start + size}" if size else ""
        # Nothing here was typed by anybody.
        return f"INSERT INTO {table} ({columns}) WITH RECURSIVE {numbers} SELECT {values} FROM {table} r, k {some}"  # noqa: S608

    def value(self, model: type[models.Model], field: models.Field) -> str:  # type: ignore[type-arg]
        column = f"r.{connection.ops.quote_name(field.column)}"
        of = model if field.primary_key else field.related_model
        if of in self.drawn:
            return self.named(column, of)
        if of is Employer:
            return _turned(column, self.first_employer, EMPLOYERS, 1)
        if of is Crew:
            return _turned(column, self.first_crew, EMPLOYERS * CREWS, CREWS)
        if (model, field.name) in {(Person, "username"), (Card, "number")}:
            return f"{column} || ' ' || k.n"
        # Another first name, so that copies stand all over a list by name.
        if field.name in {"name", "folded"}:
            names = [f"{name} " if field.name == "name" else folded(name) for name in GIVEN]
            whens = " ".join(f"WHEN {place} THEN '{name}'" for place, name in enumerate(names))
            return f"CASE k.n % {len(names)} {whens} END || {column}"
        return column

    def named(self, column: str, of: type[models.Model]) -> str:
        start, size = self.drawn[of]
        if size:
            return f"CASE WHEN {column} > {start} THEN {column} + k.n * {size} ELSE {column} END"
        key = of._meta.pk.db_type(connection)
        text = f"CAST({column} AS varchar(36))"
        return f"CAST(substr({text}, 1, length({text}) - 8) || substr(CAST(100000000 + k.n AS varchar(9)), 2) AS {key})"


def _turned(column: str, first: int, size: int, step: int) -> str:
    return f"{first} + ({column} - {first} + k.n * {step}) % {size}"


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
        followed_on=life.valid_from,
    )
