"""The links at the top of every page, by role."""

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext as _

from training.people.access import viewer_for
from training.people.rules import Role


@dataclass(frozen=True, slots=True)
class Link:
    """One link of the navigation."""

    url: str
    label: str
    current: bool


STAFF = {Role.TRAINER, Role.SUPERVISOR, Role.ADMINISTRATOR}


def navigation(request: HttpRequest) -> dict[str, object]:
    """Add `navigation`, a list of links the signed-in person has use for."""
    if not request.user.is_authenticated:
        return {"navigation": []}
    return {"navigation": SimpleLazyObject(lambda: links(request))}


def links(request: HttpRequest) -> list[Link]:
    """Return the links for the roles held today."""
    viewer = viewer_for(request, at=timezone.now())
    roles = viewer.roles
    wanted = [
        ("records:home", _("Today"), True),
        ("procedures:index", _("Procedures"), True),
        ("quizzes:index", _("Papers"), True),
        ("refreshers:index", _("Refreshers"), Role.CREW in roles),
        ("worklog:index", _("Bonds I made"), Role.CREW in roles),
        ("trials:bench", _("Try the numbers"), True),
        ("signoffs:waiting", _("To sign"), Role.TRAINER in roles),
        ("worklog:people", _("Work to confirm"), Role.SUPERVISOR in roles),
        ("board:grid", _("Who is current"), bool(roles & STAFF)),
        ("batches:index", _("Print cards"), bool(roles & {Role.SUPERVISOR, Role.ADMINISTRATOR})),
        ("schemes:index", _("Schemes"), bool(roles & STAFF)),
        ("amendments:index", _("Amend procedures"), viewer.across),
        ("drafts:index", _("Write questions"), viewer.across),
        ("analysis:index", _("How questions do"), bool(roles & {Role.TRAINER, Role.ADMINISTRATOR})),
        ("panels:index", _("Pass marks"), bool(roles & {Role.TRAINER, Role.ADMINISTRATOR})),
        ("reviews:index", _("Keys and appeals"), viewer.across),
        ("agreement:index", _("Double marking"), viewer.across),
        ("people:index", _("People"), Role.ADMINISTRATOR in roles),
        ("checking:check", _("Check a card"), True),
    ]
    return [
        Link(url, label, request.path == url or (name != "records:home" and request.path.startswith(url)))
        for name, label, shown in wanted
        if shown
        for url in [reverse(name)]
    ]
