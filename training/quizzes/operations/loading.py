"""Loading papers: the same blueprint changes nothing, a new version stands beside the old."""

from collections.abc import Iterable
from datetime import datetime

from training.bank.operations import Shelf, bring_up
from training.content.papers import PaperSpec
from training.content.tally import Tally
from training.quizzes.models import Paper, PaperIssue


def load_papers(specs: Iterable[PaperSpec], *, at: datetime) -> Tally:
    """Bring the papers up to these specs; those left out are retired. Raises ChangedContent, loading nothing."""
    shelf = Shelf(Paper, "slug", PaperIssue, "paper")
    return bring_up(shelf, {spec.slug: (spec, {"title": spec.title}) for spec in specs}, at=at)
