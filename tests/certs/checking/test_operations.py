"""The list of cards: when it is made anew, and what it says."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from io import StringIO
from pathlib import Path
from threading import Barrier

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from certs.cards import operations as cards
from certs.cards.models import Card, CardKey, Signature
from certs.cards.rules import Step
from certs.checking import code, operations, queries
from certs.checking.code import Status
from certs.checking.models import StatusList
from tests.cast import AT, ON, Cast
from tests.certs import factory
from training.content.schemes import Unconfirmed

DAY = timedelta(days=1)


def signed() -> code.StatusList:
    listed = queries.newest_statuses()
    assert listed is not None
    keys = {bytes.fromhex(key.key_id): bytes.fromhex(key.public) for key in CardKey.objects.all()}
    return code.unseal_statuses(listed.message, keys)


@pytest.mark.usefixtures("card_key")
class TestList:
    def test_says_how_each_card_stands(self, cast: Cast) -> None:
        """Two bits each, at its place."""
        held = [factory.card(cast, person, on=ON) for person in (cast.ada, cast.ben, cast.sol, cast.tess)]
        for card, step in zip(held, [Step.SUSPENDED, Step.WITHDRAWN, Step.REPLACED], strict=False):
            cards._take(card, step, by=cast.max, reason="why", on=ON, at=AT)
        operations.make_status_list(at=AT)
        said = signed()
        assert [said.statuses[card.pk] for card in held] == [1, 2, 3, 0]
        assert (said.sequence, said.made, said.good_until) == (1, AT, AT + 7 * DAY)
        assert len(said.statuses) == max(card.pk for card in held) + 1

    def test_stops_what_a_code_cannot_show(self, cast: Cast) -> None:
        """Work that was not confirmed stops a card whose scheme says so, and only warns where it warns."""
        stops = factory.card(cast, cast.ada, on=ON)
        warns = factory.card(cast, cast.ben, on=ON, slug="leads", unconfirmed=Unconfirmed.WARNS)
        said = queries.statuses(at=AT + 250 * DAY)
        assert (said[stops.pk], said[warns.pk]) == (Status.SUSPENDED, Status.VALID)

    def test_covers_cards_of_every_zone(self, cast: Cast) -> None:
        """A place is a place, in whatever order they are read."""
        first, second = (factory.card(cast, person, on=ON) for person in (cast.ada, cast.ben))
        Card.objects.filter(pk=first.pk).update(zone="Pacific/Auckland")
        cards._take(first, Step.WITHDRAWN, by=cast.max, reason="why", on=ON, at=AT)
        said = queries.statuses(at=AT)
        assert (said[first.pk], said[second.pk], len(said)) == (2, 0, second.pk + 1)

    def test_is_made_when_the_register_has_moved_on(self, cast: Cast) -> None:
        """A card, a measure, a day; and not otherwise."""
        card = factory.card(cast, cast.ada, on=ON)
        first = operations.kept_lists(at=AT)
        assert operations.kept_lists(at=AT + timedelta(hours=1)) == first
        cards.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="why", on=ON, at=AT)
        operations.kept_lists(at=AT + timedelta(hours=1))
        assert signed().statuses[card.pk] == Status.SUSPENDED
        factory.card(cast, cast.ben, on=ON)
        operations.kept_lists(at=AT + timedelta(hours=2))
        operations.kept_lists(at=AT + DAY)
        assert [each.sequence for each in StatusList.objects.order_by("sequence")] == [1, 2, 3, 4]

    def test_is_made_anew_by_the_next_key(self, cast: Cast) -> None:
        """Phones refuse a list of a broken key."""
        operations.kept_lists(at=AT)
        CardKey.objects.update(broken_on=ON)
        assert operations.kept_lists(at=AT).cards
        assert StatusList.objects.count() == 1

    def test_leaves_its_signature_in_the_log(self) -> None:
        """Each list once."""
        made = operations.make_status_list(at=AT)
        assert Signature.objects.get(card=None).key == made.key

    def test_is_made_by_the_command(self) -> None:
        """Daily; it says what it made."""
        CardKey.objects.update(signs_from="2000-01-01", signs_to="2999-01-01")
        out = StringIO()
        call_command("make_status_list", stdout=out)
        assert "number 1" in out.getvalue()


class TestWithoutKeys:
    def test_the_command_says_what_to_do(self, db: None) -> None:
        """Before anything is made."""
        with pytest.raises(CommandError, match="keys new"):
            call_command("make_status_list")
        assert not StatusList.objects.exists()

    def test_the_last_lists_are_sent(self, card_key: Path) -> None:
        """They say themselves how old they are."""
        kept = operations.kept_lists(at=AT)
        card_key.chmod(0o444)
        assert operations.kept_lists(at=AT + 3 * DAY) == kept


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestAtTheSameTime:
    def test_one_list_is_made(self, transactional_db: None, card_key: Path) -> None:
        """Six phones ask in the same moment."""
        barrier = Barrier(6)

        def ask() -> str:
            barrier.wait()
            try:
                return operations.kept_lists(at=AT).cards
            finally:
                connection.close()

        with ThreadPoolExecutor(6) as pool:
            found = {each.result() for each in [pool.submit(ask) for _phone in range(6)]}
        assert len(found) == 1
        assert StatusList.objects.count() == 1
