"""What else is on the day of a visit: other visits of the trainer, and jobs to which an accepted plan sends people."""

from itertools import chain

from django.conf import settings
from django.db.models import QuerySet
from django.utils.module_loading import import_string

from certs.visits.models import Visit


def same_day(visit: Visit) -> QuerySet[Visit]:
    """Return the other visits of the trainer on that day which are neither declined nor called off."""
    others = Visit.objects.filter(trainer=visit.trainer_id, on=visit.on, called_off_at=None).exclude(pk=visit.pk)
    return others.exclude(accepted=False).select_related("employer").order_by("pk")


def sent_out(visit: Visit) -> tuple[tuple[str, str], ...]:
    """Return who is to be at a job on the day, a name and the job each, as the rooms of `PLACES_TOLD_BY` tell it."""
    people = {str(person) for person in visit.steps.values_list("person", flat=True)}
    told = (import_string(path)(visit.employer, visit.on, visit.on) for path in settings.PLACES_TOLD_BY)
    found = ((one.name, one.reference) for one in chain.from_iterable(told) if one.hand in people)
    return tuple(dict.fromkeys(found))
