"""How often questions are got right, for others who need no more than that."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Avg, Count, F, FloatField
from django.db.models.functions import Cast
from django.utils.translation import gettext as _

from training.analysis import rules
from training.analysis.queries.uses import counting_marks
from training.analysis.queries.words import between, percent
from training.statistics.intervals import wilson


@dataclass(frozen=True, slots=True)
class Facility:
    """The mean share earned by a question on handed-in papers, in words; it says no share from too few uses."""

    uses: int
    says: str


def facilities(versions: Iterable[int]) -> dict[int, Facility]:
    """Return how versions of questions do on every paper, by version; those without a use are left out: one query."""
    marks = counting_marks().filter(item__question_version_id__in=list(versions))
    share = Cast(F("over"), FloatField()) / F("under")
    rows = marks.values("item__question_version_id").annotate(uses=Count("item", distinct=True), mean=Avg(share))
    return {row["item__question_version_id"]: _facility(row["uses"], row["mean"]) for row in rows}


def _facility(uses: int, mean: float) -> Facility:
    words = {"uses": uses, "share": percent(mean), "limits": between(wilson(min(mean * uses, uses), uses))}
    if rules.sample(uses) is rules.Sample.FEW:
        return Facility(uses, _("too few uses to say: %(uses)d") % words)
    return Facility(uses, _("%(share)s right (%(limits)s) of %(uses)d uses") % words)
