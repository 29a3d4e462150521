"""Jobs and days away of the invented company, counted from the day the demo is made."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from certs.cards.rules import local_day
from certs.crewing import operations as crewing
from certs.jobs import operations as jobs
from certs.jobs.models import Facts
from certs.jobs.rules import Reason
from certs.schemes.models import Scheme
from certs.schemes.queries import current_issue
from certs.visits import operations as visits
from certs.visits.models import Visit
from training.people.models import Crew, Person

Row = Mapping[str, Any]
SATURDAY = 5


def add_job(row: Row, *, by: Person, at: datetime, now: datetime) -> None:
    """Keep a job that begins so many days after the demo is made."""
    first = local_day(now, by.employer.zone) + timedelta(days=row["in_days"])
    facts = Facts(
        employer=by.employer,
        reference=row["reference"],
        place=row["place"],
        first_on=first,
        last_on=first + timedelta(days=row["days"] - 1),
        bonds=row["bonds"],
        each_day=row.get("each_day", False),
        crew=Crew.objects.get(employer=by.employer, name=row["crew"]) if "crew" in row else None,
        cold=row.get("cold", False),
        night=row.get("night", False),
        cover=row.get("cover", False),
        wants={Scheme.objects.get(slug=slug): many for slug, many in row["holders"].items()},
    )
    jobs.add(facts=facts, by=by, at=at)


def go_away(row: Row, *, person: Person, by: Person, at: datetime, now: datetime) -> None:
    """Keep days away that begin so many days after the demo is made."""
    first = local_day(now, by.employer.zone) + timedelta(days=row["in_days"])
    until = first + timedelta(days=row["days"] - 1)
    jobs.go_away(person=person, reason=Reason(row["reason"]), from_on=first, until_on=until, by=by, at=at)


def plan_crews(row: Row, *, by: Person, at: datetime, now: datetime) -> None:
    """Have a plan made of the weeks to come, to its last step."""
    first = local_day(now, by.employer.zone)
    last = first + timedelta(days=7 * row["weeks"] - 1)
    plan = crewing.ask(employer=by.employer, first_on=first, last_on=last, by=by, at=at)
    while not plan.is_made:
        plan = crewing.advance(plan=plan)


def accept_visit(*, trainer: Person, at: datetime) -> None:
    """Accept the one visit that a trainer is asked for and has not answered."""
    visit = Visit.objects.get(trainer=trainer, accepted=None)
    visits.accept(visit=visit, by=trainer, at=at, on=local_day(at, trainer.employer.zone))


def ask_visit(row: Row, *, trainer: Person, people: list[Person], by: Person, at: datetime, now: datetime) -> None:
    """Ask a trainer to come so many days after the demo is made, or on the Monday after it."""
    on = local_day(now, by.employer.zone)
    day = on + timedelta(days=row["in_days"])
    # No trainer comes on a Saturday or a Sunday.
    day += timedelta(days=7 - day.weekday() if day.weekday() >= SATURDAY else 0)
    visits.ask(
        employer=by.employer,
        issue=current_issue(row["scheme"]),
        trainer=trainer,
        people=people,
        visit_on=day,
        place=row["place"],
        by=by,
        at=at,
        on=local_day(at, by.employer.zone),
    )
