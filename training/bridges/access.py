"""Which questions of a revision may be opened."""

from django.http import Http404

from training.content.demands import Demand
from training.procedures.access import revision_for
from training.procedures.models import Revision


def asking_for(slug: str, number: int) -> Revision:
    """Load a revision that asks questions, of a module in use; everyone signed in may answer them. Else raise 404."""
    revision = revision_for(slug, str(number))
    if revision.demand != Demand.ANSWER or revision.module.retired_at is not None:
        raise Http404
    return revision
