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
    held: Any = Card.objects.filter(person__among=Blank("people"))
    first, last, confirmed_to = (Cast(name, CharField()) for name in ("valid_from", "last_day", "confirmed_to"))
    rows = held.newest_on(on).with_plain_standing_on(on).confirmed_to_on(on).order_by()
    return rows.values_list("person", "scheme_issue", "number", "standing", first, last, "zone", confirmed_to)


CARDS = Prepared(_cards)
ISSUES = Prepared(lambda: SchemeIssue.objects.order_by().values_list("pk", "scheme", "title", "number"))


def told(person_ids: Iterable[int], *, on: date, words: Mapping[Standing | None, str]) -> dict[tuple[int, int], Told]:
    """Return what `holdings` says of each person and scheme, in texts; a standing in these words."""
    people = list(person_ids)
    issues = {pk: issue for pk, *issue in ISSUES.rows()}
    named: Mapping[Any, str] = words
    found: dict[tuple[int, int], Any] = {}
    for person, issue, number, standing, first, last, zone, confirmed_to in CARDS.rows(people=people, on=on):
        scheme, title, edition = issues[issue]
        said = (title, edition, number, named[standing], first, last, zone, confirmed_to, "") if standing else None
        found[person, scheme] = said
    more = [key for key, said in found.items() if said is None]
    held = holdings({person for person, _scheme in more}, on=on) if more else {}
    return found | {key: _said(held[key], words) for key in more}


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
