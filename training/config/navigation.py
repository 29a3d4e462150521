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


@dataclass(frozen=True, slots=True)
class Group:
    """Links that belong together under a heading; the everyday ones have none."""

    heading: str
    links: list[Link]


# Pages below whose address stand others of the menu.
ALONE = {"records:home", "people:index"}
STAFF = {Role.TRAINER, Role.SUPERVISOR, Role.ADMINISTRATOR}


def navigation(request: HttpRequest) -> dict[str, object]:
    """Add `everyday`, the links of the bar, and `navigation`, all of them in groups."""
    # A name that this site is not served under is refused before anybody is known.
    if not (hasattr(request, "user") and request.user.is_authenticated):
        return {"navigation": []}
    groups = SimpleLazyObject(lambda: grouped(request))
    return {"navigation": groups, "everyday": SimpleLazyObject(lambda: groups[0].links)}


def grouped(request: HttpRequest) -> list[Group]:
    """Return the links the signed-in person has use for today, everyday ones first."""
    viewer = viewer_for(request, at=timezone.now())
    crew, trainer = Role.CREW in viewer.roles, Role.TRAINER in viewer.roles
    supervisor, administrator = Role.SUPERVISOR in viewer.roles, Role.ADMINISTRATOR in viewer.roles
    staff, examiner = bool(viewer.roles & STAFF), trainer or administrator
    wanted = [
        (
            "",
            [
                ("records:home", _("Today"), True),
                ("procedures:index", _("Procedures"), True),
                ("quizzes:index", _("Papers"), True),
                ("worklog:index", _("Bonds I made"), crew),
                ("signoffs:waiting", _("To sign"), trainer),
                ("worklog:people", _("Work to confirm"), supervisor),
                ("board:grid", _("Who is current"), staff),
                ("checking:check", _("Check a card"), True),
            ],
        ),
        (
            _("Keep your hand in"),
            [
                ("refreshers:index", _("Refreshers"), crew),
                ("trials:bench", _("Try the numbers"), True),
            ],
        ),
        (
            _("Crews and jobs"),
            [
                ("jobs:index", _("Jobs"), supervisor or administrator),
                ("crewing:index", _("Crewing plans"), supervisor or administrator),
                ("gaps:plan", _("Close the gaps"), supervisor or administrator),
                ("visits:index", _("Trainer visits"), staff),
                ("forecast:page", _("What ends when"), staff),
            ],
        ),
        (
            _("People and cards"),
            [
                ("people:index", _("People"), administrator),
                ("rosters:index", _("Bring in a roster"), administrator),
                ("batches:index", _("Print cards"), supervisor or administrator),
                ("schemes:index", _("Schemes"), staff),
                ("gates:index", _("Answers for gates"), supervisor or administrator),
            ],
        ),
        (
            _("Procedures and questions"),
            [
                ("amendments:index", _("Amend procedures"), viewer.across),
                ("drafts:index", _("Write questions"), viewer.across),
                ("analysis:index", _("How questions do"), examiner),
                ("panels:index", _("Pass marks"), examiner),
                ("reviews:index", _("Keys and appeals"), viewer.across),
                ("agreement:index", _("Double marking"), viewer.across),
            ],
        ),
        (
            _("This site"),
            [
                ("complaints:index", _("Complaints"), True),
                ("keeping:index", _("Safe keeping"), administrator and viewer.across),
            ],
        ),
    ]
    return [
        Group(heading, links)
        for heading, entries in wanted
        if (links := [link(request, name, label) for name, label, shown in entries if shown])
    ]


def link(request: HttpRequest, name: str, label: str) -> Link:
    """Return one link, marked where it leads to the page being shown or to one below it."""
    url = reverse(name)
    return Link(url, label, request.path == url or (name not in ALONE and request.path.startswith(url)))
