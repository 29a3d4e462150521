"""Whom an export shows, and whose days a calendar feed holds."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.http import Http404

from certs.board.access import people_on_board_of
from certs.exports.models import CalendarFeed
from certs.visits.access import visit_for
from training.people.access import Viewer
from training.people.models import Person
from training.people.queries import roles_on
from training.people.rules import Role, local_day
from training.tokens.rules import digest

__all__ = ["days_shown_to", "people_on_board_of", "sees_a_crew", "viewer_of_feed", "visit_for"]


def viewer_of_feed(secret: str, *, at: datetime) -> Viewer:
    """Say whose feed has that secret in its address, else raise 404: also once an account is closed."""
    feed = CalendarFeed.objects.select_related("person__employer").filter(digest=digest(secret)).first()
    if feed is None or not feed.person.is_active:
        raise Http404
    on = local_day(at, ZoneInfo(feed.person.employer.zone))
    return Viewer(feed.person, roles_on(feed.person, on=on), at, on)


def sees_a_crew(viewer: Viewer) -> bool:
    """Whether the viewer's calendar holds the days of others as well."""
    return viewer.has(Role.SUPERVISOR)


def days_shown_to(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose days belong in the viewer's calendar: oneself, and for a supervisor the employer's."""
    if sees_a_crew(viewer):
        return Person.objects.filter(employer_id=viewer.person.employer_id)
    return Person.objects.filter(pk=viewer.person.pk)
