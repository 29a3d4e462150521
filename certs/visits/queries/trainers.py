"""Which trainers could come: by scheme, by person and by day."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date
from typing import TypeVar

from django.db.models import Q

from certs.schemes.models import Authority, TrainingAct
from certs.schemes.rules import Act
from certs.signoffs.rules import too_near
from certs.visits.models import Visit, VisitRefusal

Key = TypeVar("Key")


def may_assess(*, on: date) -> dict[str, frozenset[int]]:
    """Return by scheme (slug) who may assess under it on a day: one query."""
    held = Authority.objects.in_force_on(on).filter(act=Act.ASSESSES, person__is_active=True)
    return _together(held.values_list("scheme__slug", "person"))


def trained_lately(people: Collection[int], *, on: date) -> dict[tuple[int, str], frozenset[int]]:
    """Return by person and scheme (slug) who trained them so lately that they may not assess them: one query."""
    trained = TrainingAct.objects.filter(candidate__in=people)
    rows = trained.values_list("candidate", "scheme__slug", "trainer", "ended_on")
    return _together(((person, slug), trainer) for person, slug, trainer, day in rows if too_near(day, on=on))


def engaged(first: date, until: date) -> dict[date, frozenset[int]]:
    """Return by day who is asked to come somewhere, or has said that they do not come: two queries."""
    days = Q(on__gte=first, on__lte=until)
    asked = Visit.objects.filter(days & (Q(called_off_at=None) | Q(accepted=False))).values_list("on", "trainer")
    declined = VisitRefusal.objects.filter(visit__on__gte=first, visit__on__lte=until)
    return _together([*asked, *declined.values_list("visit__on", "trainer")])


def _together(pairs: Iterable[tuple[Key, int]]) -> dict[Key, frozenset[int]]:
    found: dict[Key, set[int]] = defaultdict(set)
    for key, trainer in pairs:
        found[key].add(trainer)
    return {key: frozenset(some) for key, some in found.items()}
