"""How the cards of very many people stand, as plain texts for files: most cards are told by their dates alone."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.db.models import CharField, DateField
from django.db.models.functions import Cast

from certs.cards.models import Card
from certs.cards.queries.holdings import Holding, holdings
from certs.cards.rules import Standing
from certs.schemes.models import SchemeIssue
from training.prepared import Blank, Prepared

# Title and number of the issue, number, standing, first and last day, zone, confirmed to, note; days in ISO 8601.
Told = tuple[str | int | None, ...]


def _cards() -> Any:
    on = Blank("on", DateField())
    issued: Any = Card.objects.filter(person__among=Blank("people"), valid_from__lte=on)
    first, last, confirmed_to = (Cast(name, CharField()) for name in ("valid_from", "last_day", "confirmed_to"))
    rows = issued.with_plain_standing_on(on).confirmed_to_on(on).order_by("person", "scheme", "valid_from", "pk")
    return rows.values_list("person", "scheme_issue", "number", "standing", first, last, "zone", confirmed_to)


CARDS = Prepared(_cards)
ISSUES = Prepared(lambda: SchemeIssue.objects.order_by().values_list("pk", "scheme", "title", "number"))


def told(person_ids: Iterable[int], *, on: date, words: Mapping[Standing | None, str]) -> dict[tuple[int, int], Told]:
    """Return what `holdings` says of each person and scheme, in texts; a standing in these words."""
    people = list(person_ids)
    issues = {pk: (scheme, (title, number)) for pk, scheme, title, number in ISSUES.rows()}
    named: Mapping[Any, str] = words
    found: dict[tuple[int, int], Told | None] = {}
    for person, issue, number, standing, *days in CARDS.rows(people=people, on=on):
        scheme, head = issues[issue]
        # The newest card of a person comes last.
        found[person, scheme] = (*head, number, named[standing], *days, "") if standing else None
    more = {person for (person, _scheme), line in found.items() if line is None}
    looked_at = {key: _said(held, words) for key, held in holdings(more, on=on).items()} if more else {}
    return {key: looked_at[key] if line is None else line for key, line in found.items()}


def _said(held: Holding, words: Mapping[Standing | None, str]) -> Told:
    return (
        held.scheme,
        held.issue,
        held.number,
        words[held.standing],
        held.valid_from.isoformat(),
        held.last_day.isoformat(),
        held.zone,
        held.confirmed_to.isoformat(),
        " ".join(part for part in (held.warning, *(owing.words for owing in held.owed)) if part),
    )
