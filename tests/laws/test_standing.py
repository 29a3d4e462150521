"""The standing of a card is one rule in two languages: `rules.standing`, and one expression in SQL.

A file of many cards is made by the second where there is no more to say, and says the same as the first.

Set FERRULE_HISTORIES to 20000 for the long run; each history is asked about on twelve days.
"""

import os
import random
from collections import Counter
from collections.abc import Mapping
from datetime import date, timedelta

import pytest
from django.db import connection

from certs.cards import rules
from certs.cards.models import Card, pasts
from certs.cards.queries import Holding, Pieces, holdings
from tests.cast import Cast
from tests.certs import many
from tests.certs.factory import noon, scheme_issue
from tests.training.procedures.content import asks, module, revised
from training.bridges.models import Bridge
from training.people.models import Person
from training.procedures.models import Reading, Revision
from training.procedures.operations import load

HISTORIES = int(os.environ.get("FERRULE_HISTORIES", "240"))
BATCH, DAYS = 1_000, 12
WORDS = {standing: standing.value.upper() for standing in rules.Standing}


def days_of(draw: random.Random) -> list[date]:
    """Draw the days to ask about: ends of months and a leap day among them."""
    some = [date(2024, 2, 29), date(2027, 2, 28), date(2026, 8, 31)]
    return some + [date(2023, 1, 1) + timedelta(days=draw.randrange(2200)) for _ in range(DAYS - len(some))]


def procedures(days: list[date], draw: random.Random) -> list[Revision]:
    """Load revisions that land and fall due about the days asked about: one that stops, one that makes due."""
    load([module()], at=noon(min(days) - timedelta(days=2000)))
    landed = sorted(draw.choice(days) for _ in range(2))
    for number, (day, overdue) in enumerate(zip(landed, ("stops", "due"), strict=True)):
        demand = draw.choice(["read", "answer"])
        terms = asks(demand, overdue, within_days=draw.choice([1, 30]))
        load([revised(title=f"Setting up, part {number}", revision=terms)], at=noon(day))
    return list(Revision.objects.filter(due_on__isnull=False))


def do_some(people: list[Person], asking: list[Revision], days: list[date], draw: random.Random) -> None:
    """Let some people read and answer on some of the days."""
    read, answered = [], []
    for person in people:
        for revision in asking:
            at = noon(draw.choice(days))
            if draw.random() < 0.4:
                read.append(Reading(person=person, revision=revision, read_at=at))
            if draw.random() < 0.3:
                answered.append(Bridge(person=person, revision=revision, seed="s", opened_at=at, answered_at=at))
    Reading.objects.bulk_create(read)
    Bridge.objects.bulk_create(answered)


def in_pieces(held: Mapping[tuple[int, int], Holding]) -> dict[tuple[int, int], str]:
    """Write each fact of each card by itself, with all that is to be said of it."""
    found = {}
    for key, one in held.items():
        days = one.valid_from, one.last_day, one.zone, one.confirmed_to
        note = " ".join([one.warning, *(owing.words for owing in one.owed)]).strip()
        cells = one.scheme, one.issue, one.number, one.standing.value.upper(), *days, note
        found[key] = ",".join(f'"{cell}"' for cell in cells)
    return found


@pytest.mark.both
class TestStanding:
    def test_is_the_same_in_sql(self, cast: Cast) -> None:
        """Every history on every day, and every standing occurs."""
        met: Counter[str] = Counter()
        draw = random.Random(20261125)
        days = days_of(draw)
        asking = procedures(days, draw)
        # Of the second, no procedure asks anything: those are told by their dates alone.
        issues = scheme_issue(), scheme_issue(slug="leads", title="Leads", modules=("clamps",))
        for start in range(0, HISTORIES, BATCH):
            size = min(BATCH, HISTORIES - start)
            people = many.people(cast.northmoor, [f"Holder {n}" for n in range(size)], since=date(2020, 1, 1))
            lives = [(one, many.life_near(days, draw)) for one in people]
            half = size // 2
            made = [
                *many.cards(issues[0], lives[:half], by=cast.olga),
                *many.cards(issues[1], lives[half:], by=cast.olga),
            ]
            do_some(people[: size // 3], asking, days, draw)
            with connection.cursor() as cursor:
                # Without it PostgreSQL takes the tables for empty, and walks each once a card.
                cursor.execute("ANALYZE")
            stored = Card.objects.filter(pk__gte=made[0].pk).select_related("scheme_issue").in_bulk()
            past = pasts(stored.values())
            facts = {pk: card.facts(past[pk]) for pk, card in stored.items()}
            for on in days:
                expected = {
                    (pk, rules.standing(each, on=on).standing.value, rules.confirm_by(each, on=on))
                    for pk, each in facts.items()
                }
                found = Card.objects.filter(pk__gte=made[0].pk).with_standing_on(on).confirmed_to_on(on)
                assert set(found.values_list("pk", "standing", "confirmed_to")) == expected, on
                some, standings = Card.objects.filter(pk__gte=made[0].pk), list(rules.Standing)
                asked_for = standings[days.index(on) % len(standings)]
                those = {pk for pk, standing, _due in expected if standing == asked_for}
                assert set(some.that_stand(asked_for, on).values_list("pk", flat=True)) == those, (asked_for, on)
                # Lines of files are text made of the same standing: in the long run each batch is asked on one day.
                if HISTORIES <= BATCH or on == days[start // BATCH % DAYS]:
                    holders = [one.pk for one in people]
                    pieces = Pieces(on=on, words=WORDS).of(holders)
                    by_both = {(who, scheme): said for scheme, each in pieces.items() for who, said in each.items()}
                    assert by_both == in_pieces(holdings(holders, on=on)), on
                met.update(standing for _pk, standing, _due in expected)
        assert sum(met.values()) == HISTORIES * DAYS
        assert set(met) == {standing.value for standing in rules.Standing}
