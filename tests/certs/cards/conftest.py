"""What is kept beside the facts of a card follows from them, whatever a test has done to it."""

from collections.abc import Iterator

import pytest

from certs.cards import rules
from certs.cards.models import KEPT, Card


@pytest.fixture(autouse=True)
def _kept_with_every_act(request: pytest.FixtureRequest) -> Iterator[None]:
    """Every act that changes the facts has changed the days."""
    if "cast" not in request.fixturenames:
        yield
        return
    # It is asked before the database is put back.
    request.getfixturevalue("cast")
    yield
    for card in Card.objects.select_related("scheme_issue"):
        kept = rules.kept(card.facts())
        assert {name: getattr(card, name) for name in KEPT} == {name: getattr(kept, name) for name in KEPT}, card
        others = Card.objects.filter(person=card.person_id, scheme=card.scheme_id, pk__gt=card.pk)
        assert card.followed_on == min((one.valid_from for one in others), default=None), card
