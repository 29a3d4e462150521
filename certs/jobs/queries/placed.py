"""Whom accepted plans place at the jobs of an employer: told by the rooms above."""

from datetime import date
from itertools import chain

from django.conf import settings
from django.utils.module_loading import import_string

from certs.jobs.models import Absence
from certs.jobs.rules import Placed
from training.people.models import Employer


def placed(employer: Employer, first: date, last: date) -> tuple[Placed, ...]:
    """Return whom the rooms of `PLACES_TOLD_BY` place on these days, as they tell it."""
    told = (import_string(path)(employer, first, last) for path in settings.PLACES_TOLD_BY)
    return tuple(chain.from_iterable(told))


def sent_while_away(absence: Absence) -> tuple[Placed, ...]:
    """Return where accepted plans send a person on the days on which they are away."""
    told = placed(absence.person.employer, absence.from_on, absence.until_on)
    return tuple(one for one in told if one.hand == str(absence.person_id))
