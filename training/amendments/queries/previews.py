"""What the crew would read, and what differs."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from training.amendments.models import Amendment
from training.amendments.queries.checks import check
from training.content.procedures import ModuleSpec
from training.people.models import Person
from training.procedures import queries as procedures
from training.procedures.models import DEMAND_WORDS, OVERDUE_WORDS, Revision


@dataclass(frozen=True, slots=True)
class Preview:
    """What the crew would read, what differs from the revision it began from, and the digest of the text."""

    page: procedures.Page
    compared: procedures.Compared
    asked: str
    digest: str


def preview(amendment: Amendment, *, person: Person) -> Preview | None:
    """Return what the crew would read, or None where the text has mistakes."""
    spec = check(amendment).spec
    if spec is None:
        return None
    facts = {"title": spec.title, "language": spec.language, "order": spec.order, "changed": spec.changed}
    # Not saved, and under the number it began from, whose drawings it shows.
    shown = Revision(
        module=amendment.module,
        number=amendment.base.number,
        body=spec.as_json(),
        loaded_at=amendment.opened_at,
        **facts,
    )
    return Preview(
        page=procedures.page(shown, person=person),
        compared=procedures.compared(amendment.base, shown, person=person),
        asked=_demand(spec),
        digest=spec.digest,
    )


def _demand(spec: ModuleSpec) -> str:
    """Say what the revision asks of card holders, or nothing; its day comes with the approval."""
    asked = spec.revision
    if asked is None or asked.within_days is None:
        return ""
    words = _("%(demand)s within %(days)d days; after that, %(overdue)s.")
    facts = {"demand": DEMAND_WORDS[asked.demand], "overdue": OVERDUE_WORDS[asked.overdue]}
    return words % {"days": asked.within_days, **facts}
