"""Marking a practical as its second assessor."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from certs.agreement import queries
from certs.agreement.models import SecondMarking
from certs.agreement.rules import How
from certs.signoffs.models import Signoff
from certs.signoffs.queries import ties
from training.ledger.operations import write
from training.people.models import Person
from training.questions.canonical import digest


class MayNotMark(Exception):
    """This person may not be the second assessor of this practical; `sentences` says why."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__(" ".join(self.sentences))


@transaction.atomic
def mark_again(
    *,
    signoff: Signoff,
    by: Person,
    how: How,
    marks: Mapping[str, bool | None],
    remarks: str,
    at: datetime,
    on: date,
) -> SecondMarking:
    """Keep what a second assessor marked, by slug of the check; sent twice it is one marking. Raises MayNotMark."""
    held = Signoff.objects.select_for_update(of=("self",)).select_related("scheme_issue").get(pk=signoff.pk)
    known = SecondMarking.objects.filter(signoff=held).first()
    if known is not None and known.assessor_id == by.pk:
        return known
    found = list(queries.sentences(held, by, ties(by, on=on), marked=known is not None, on=on))
    if not queries.in_sample([held.pk]):
        found.append(_("This practical is not among those that are marked twice."))
    if found:
        raise MayNotMark(found)
    kept = {slug: marks.get(slug) for slug, _text in queries.texts_of(held.checks)}
    made = SecondMarking.objects.create(
        signoff=held,
        candidate_id=held.person_id,
        first_id=held.assessor_id,
        assessor=by,
        how=how,
        marks=kept,
        remarks=remarks,
        marked_at=at,
    )
    about = {"signoff": str(held.pk), "marks": digest(kept), "how": how.value}
    write(by=by.pk, act="practical marked again", about=about, at=at)
    return made
