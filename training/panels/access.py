"""Who may run a panel, judge on it, and see it.

Trainers and administrators of the certification body run panels and see all; a judge sees the panels they sit on.
"""

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404
from django.utils.translation import gettext as _

from training.panels.models import Panel, PanelJudge
from training.panels.rules import Stage
from training.people.access import Viewer
from training.people.rules import Role
from training.quizzes.models import PaperIssue


def require_member(viewer: Viewer) -> Viewer:
    """Return the viewer when they train or administer, else raise PermissionDenied (403)."""
    return viewer.require(Role.TRAINER, Role.ADMINISTRATOR)


def require_runner(viewer: Viewer) -> Viewer:
    """Return the viewer when they may run panels, else raise PermissionDenied (403)."""
    require_member(viewer)
    if not viewer.across:
        raise PermissionDenied(_("Panels are run by the certification body."))
    return viewer


def panels_seen_by(viewer: Viewer) -> QuerySet[Panel]:
    """Return the panels this viewer may open, else raise PermissionDenied (403)."""
    require_member(viewer)
    return Panel.objects.all() if viewer.across else Panel.objects.filter(judges__person=viewer.person)


def panel_for(viewer: Viewer, pk: int) -> Panel:
    """Load a panel to look at; 403 without the role, 404 for one that is not theirs."""
    loaded = ("issue__paper", "opened_by", "first_closed_by", "second_closed_by")
    panel = panels_seen_by(viewer).select_related(*loaded).filter(pk=pk).first()
    if panel is None:
        raise Http404
    return panel


def own_panel_for(viewer: Viewer, pk: int) -> Panel:
    """Load a panel to run; 403 for those who run none, 404 where there is none."""
    return panel_for(require_runner(viewer), pk)


def issue_for(viewer: Viewer, slug: str) -> PaperIssue:
    """Load the latest issue of a paper on offer to open a panel on; 403 for those who run none, 404 without one."""
    require_runner(viewer)
    issues = PaperIssue.objects.select_related("paper").filter(paper__slug=slug, paper__retired_at__isnull=True)
    issue = issues.order_by("version").last()
    if issue is None:
        raise Http404
    return issue


def seat_for(viewer: Viewer, pk: int) -> PanelJudge:
    """Load the viewer's own seat on a panel at work; 403 for those who are no judge on it, 404 once it is closed."""
    panel = panel_for(viewer, pk)
    viewer.require(Role.TRAINER)
    seat = panel.judges.filter(person=viewer.person).first()
    if seat is None:
        raise PermissionDenied(_("You are not a judge on this panel."))
    if panel.stage is Stage.CLOSED:
        raise Http404
    seat.panel = panel
    return seat
