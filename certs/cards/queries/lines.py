"""How the cards of very many people stand, as pieces of lines of a CSV file: most are told by their days alone."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import CharField, DateField, Func, Value

from certs.cards.models import Card, revisions_with_a_day
from certs.cards.queries.holdings import Holding, holdings
from certs.cards.rules import Standing
from certs.schemes.models import SchemeIssue
from training.prepared import Blank, Prepared
from training.tables.code import quoted

BETWEEN = '","'
# Only a standing can be empty, and is where there is more to be said.
MORE = f"{BETWEEN}{BETWEEN}"


def _cards(*, asking: bool) -> Any:
    on = Blank("on", DateField())
    held: Any = Card.objects.filter(person__among=Blank("people")).newest_on(on).confirmed_to_on(on)
    held = held.with_plain_standing_on(on, asking=asking, said=lambda one: Blank(one.name, CharField()))
    cells = "number", "standing", "valid_from", "last_day", "zone", "confirmed_to"
    # The database puts them together: as cells of their own they would take twice as long. None holds a quote.
    joined = Func(Value(BETWEEN), *cells, function="CONCAT_WS", output_field=CharField())
    return held.order_by().values_list("person", "scheme_issue", joined)


CARDS = {asking: Prepared(lambda asking=asking: _cards(asking=asking)) for asking in (False, True)}
ISSUES = Prepared(lambda: SchemeIssue.objects.order_by().values_list("pk", "scheme", "title", "number"))


class Pieces:
    """What `holdings` says of each person and scheme on a day, as pieces of lines; a standing in these words.

    The cells are title and number of the issue, number, standing, first and last day, zone, confirmed to, note.
    """

    def __init__(self, *, on: date, words: Mapping[Standing | None, str]) -> None:
        self._on, self._words = on, words
        self._issues = {pk: (scheme, quoted([issue])[0]) for pk, scheme, *issue in ISSUES.rows()}
        self._said = {one.name: words[one].replace('"', '""') for one in Standing}
        self._cards = CARDS[revisions_with_a_day().exists()]

    def of(self, people: Sequence[int]) -> dict[int, dict[int, str]]:
        """Return the piece of each person, by scheme; who has no card of it is left out."""
        found: dict[int, dict[int, str]] = defaultdict(dict)
        more = set()
        for person, issue, joined in self._cards.rows(people=people, on=self._on, **self._said):
            scheme, of_issue = self._issues[issue]
            if MORE in joined:
                more.add((person, scheme))
            else:
                found[scheme][person] = f'{of_issue},"{joined}",""'
        held = holdings({person for person, _scheme in more}, on=self._on) if more else {}
        for person, scheme in more:
            [found[scheme][person]] = quoted([self._cells(held[person, scheme])])
        return found

    def _cells(self, held: Holding) -> tuple[str | int, ...]:
        return (
            held.scheme,
            held.issue,
            held.number,
            self._words[held.standing],
            held.valid_from.isoformat(),
            held.last_day.isoformat(),
            held.zone,
            held.confirmed_to.isoformat(),
            " ".join(part for part in (held.warning, *(owing.words for owing in held.owed)) if part),
        )
