"""What the home page says of visits: who waits for whose answer, who comes when, and what trainers answered of late."""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta
from typing import ClassVar

from django.db.models import Q

from certs.visits.models import Visit
from certs.visits.queries.lists import Shown, shown
from certs.visits.rules import Standing
from training.people.models import Person
from training.people.rules import Role

# Long enough to be seen after a week away; the list of visits keeps them.
LATELY = timedelta(days=14)
ASKERS = frozenset({Role.SUPERVISOR, Role.ADMINISTRATOR})
# A list on the home page is a reminder.
LISTED = 5


@dataclass(frozen=True, slots=True)
class OnHome:
    """Visits on the home page of one person.

    `waiting` counts those they are asked for and have not answered, `goes` are those they go to as trainer, `comes`
    those at which a trainer comes for them, `answered` those they asked for that were answered of late.
    """

    template: ClassVar[str] = "certs/visits/home.html"
    waiting: int
    goes: tuple[Shown, ...]
    comes: tuple[Shown, ...]
    answered: tuple[Shown, ...]


def on_home(person: Person, roles: AbstractSet[Role], *, on: date) -> OnHome | None:
    """Return what the home page says of visits, or None: one query where there is nothing, else six."""
    asked = Q(trainer=person) if Role.TRAINER in roles else Q(pk=None)
    asked |= Q(steps__person=person, accepted=True)
    if roles & ASKERS:
        asked |= Q(asked_by=person, answered_at__date__gte=on - LATELY)
    ahead = Visit.objects.filter(asked, on__gte=on, called_off_at=None).order_by("on", "pk").distinct()
    found = shown(ahead, on=on)
    goes = [one for one in found if one.visit.trainer_id == person.pk and Role.TRAINER in roles]
    come = [one for one in found if one.standing is Standing.ACCEPTED and one.visit.trainer_id != person.pk]
    answers = [one for one in found if one.visit.asked_by_id == person.pk and one.visit.trainer_id != person.pk]
    said = OnHome(
        waiting=sum(one.standing is Standing.ASKED for one in goes),
        goes=tuple(one for one in goes if one.standing is Standing.ACCEPTED)[:LISTED],
        comes=tuple(one for one in come if person.pk in {line.pk for line in one.lines})[:LISTED],
        answered=tuple(one for one in answers if one.standing in {Standing.ACCEPTED, Standing.DECLINED})[:LISTED],
    )
    return said if said.waiting or said.goes or said.comes or said.answered else None
