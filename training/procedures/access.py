"""Loading a revision to read, or to state as read, and its drawings."""

from django.http import Http404

from training.procedures import rules
from training.procedures.models import Revision


def revision_for(slug: str, number: str = "") -> Revision:
    """Load a module's revision: the one in force, or the one of that number. Everyone signed in may read all."""
    revisions = Revision.objects.filter(module__slug=slug).select_related("module")
    if number:
        # A number typed into the address may be anything; only digits name a revision.
        revisions = revisions.filter(number=int(number)) if number.isdecimal() and len(number) < 6 else revisions.none()
    revision = revisions.order_by("-number").first()
    if revision is None:
        raise Http404
    return revision


def drawing_for(slug: str, name: str, number: str = "") -> str:
    """Load the SVG text of a drawing as that revision froze it."""
    drawing = rules.drawings(revision_for(slug, number).body).get(name)
    if drawing is None:
        raise Http404
    return str(drawing["svg"])


def pair_for(slug: str, older: str = "", newer: str = "") -> tuple[Revision, Revision]:
    """Load two revisions to compare, the older first: as asked for, or the one in force and the one before it."""
    later = revision_for(slug, newer)
    earlier = revision_for(slug, older or str(max(1, later.number - 1)))
    return (earlier, later) if earlier.number <= later.number else (later, earlier)
