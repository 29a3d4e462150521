"""What a check answers for a number and for a code."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from certs.cards import operations
from certs.cards import queries as cards
from certs.cards.code import unseal
from certs.cards.models import CardKey, Signature
from certs.cards.rules import Step
from certs.checking import queries
from certs.checking.queries import Answer
from tests.cast import ON, Cast
from tests.certs import factory
from training.content.schemes import Unconfirmed

DAY = timedelta(days=1)
DUE = date(2027, 5, 25)


class TestCheck:
    """Three answers, each with its reasons."""

    def test_accepts_what_is_current(self, cast: Cast) -> None:
        """The number is enough."""
        card = factory.card(cast, cast.ada, on=ON)
        checked = queries.check(card.number.lower(), at=factory.noon(ON))
        assert (checked.answer, checked.reasons) == (Answer.ACCEPT, ("Good to the end of 24 Nov 2029.",))

    def test_counts_the_day_where_the_scheme_is(self, cast: Cast) -> None:
        """Half past midnight in London in June is still the day before in Greenwich."""
        card = factory.card(cast, cast.ada, on=date(2026, 7, 1), confirm_months=48)
        last = factory.noon(date(2029, 6, 30))
        assert queries.check(card.number, at=last + timedelta(hours=10, minutes=59)).answer is Answer.ACCEPT
        assert queries.check(card.number, at=last + timedelta(hours=11)).answer is Answer.REFUSE

    def test_tells_the_time_where_the_scheme_is(self, cast: Cast) -> None:
        """Noon in Greenwich is one o'clock in a London summer."""
        card = factory.card(cast, cast.ada, on=date(2026, 7, 1))
        assert queries.check(card.number, at=factory.noon(date(2026, 7, 2))).when == "2 Jul 2026, 13:00"

    def test_asks_to_telephone_where_work_is_only_warned_about(self, cast: Cast) -> None:
        """Genuine, in force, not confirmed."""
        card = factory.card(cast, cast.ada, on=ON, unconfirmed=Unconfirmed.WARNS)
        assert queries.check(card.number, at=factory.noon(DUE + DAY)).answer is Answer.TELEPHONE

    @pytest.mark.parametrize("step", [Step.SUSPENDED, Step.WITHDRAWN])
    def test_refuses_at_once_after_a_measure(self, cast: Cast, step: Step) -> None:
        """On the very day."""
        card = factory.card(cast, cast.ada, on=ON)
        operations.measure(card=card, step=step, by=cast.max, reason="why", on=ON, at=factory.noon(ON))
        assert queries.check(card.number, at=factory.noon(ON)).answer is Answer.REFUSE

    def test_says_the_same_of_unknown_and_malformed(self, cast: Cast) -> None:
        """Nobody learns which numbers could exist."""
        unknown = queries.check("FB-2222-222X", at=factory.noon(ON))
        assert unknown == queries.check("'; drop", at=factory.noon(ON))
        assert (unknown.answer, unknown.face) == (Answer.REFUSE, None)


class TestCode:
    """The printed address, checked by its signature and then in the register."""

    def test_opens_and_asks_the_register(self, cast: Cast, card_key: Path) -> None:
        """Genuine and current."""
        factory.card(cast, cast.ada, on=ON)
        url = address()
        assert url.startswith("https://cards.example.org/check#")
        assert queries.check_code(url, at=factory.noon(ON)).answer is Answer.ACCEPT
        assert queries.check_code(url[:-4], at=factory.noon(ON)).answer is Answer.REFUSE

    def test_of_a_suspended_card_is_refused(self, cast: Cast, card_key: Path) -> None:
        """The register has the last word."""
        card = factory.card(cast, cast.ada, on=ON)
        url = address()
        operations.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="why", on=ON, at=factory.noon(ON))
        assert queries.check_code(url, at=factory.noon(ON)).answer is Answer.REFUSE

    def test_that_differs_from_the_register_asks_to_telephone(self, cast: Cast, card_key: Path) -> None:
        """Another name under a genuine signature."""
        card = factory.card(cast, cast.ada, on=ON)
        url = address()
        card.holder_name = "Ada Other"
        card.save()
        checked = queries.check_code(url, at=factory.noon(ON))
        assert checked.answer is Answer.TELEPHONE
        assert "not what the register says" in checked.reasons[-1]

    def test_of_a_card_the_register_has_lost_is_refused(self, cast: Cast, card_key: Path) -> None:
        """Signed is not enough."""
        card = factory.card(cast, cast.ada, on=ON)
        url = address()
        Signature.objects.all().delete()
        card.delete()
        assert queries.check_code(url, at=factory.noon(ON)).face is None

    def test_under_a_broken_key_is_refused(self, cast: Cast, card_key: Path) -> None:
        """Whoever has the key can make any card, of any day."""
        factory.card(cast, cast.ada, on=ON)
        url = address()
        CardKey.objects.update(broken_on=ON)
        checked = queries.check_code(url, at=factory.noon(ON))
        assert (checked.answer, checked.face) == (Answer.REFUSE, None)
        assert "broken" in checked.reasons[0]

    def test_issued_after_the_last_day_of_its_key_is_refused(self, cast: Cast, card_key: Path) -> None:
        """A key that was put away signs no new card."""
        factory.card(cast, cast.ada, on=ON)
        url = address()
        CardKey.objects.update(signs_from=ON - DAY, signs_to=ON - DAY)
        assert "no longer in use" in queries.check_code(url, at=factory.noon(ON)).reasons[0]
        CardKey.objects.update(signs_to=ON)
        assert queries.check_code(url, at=factory.noon(ON)).answer is Answer.ACCEPT

    def test_issued_before_the_first_day_of_its_key_is_refused(self, cast: Cast, card_key: Path) -> None:
        """A successor that lies ready vouches for nothing yet."""
        factory.card(cast, cast.ada, on=ON)
        url = address()
        CardKey.objects.update(signs_from=ON + DAY)
        assert "not yet in use" in queries.check_code(url, at=factory.noon(ON)).reasons[0]

    def test_printed_again_by_a_younger_key_is_accepted(self, cast: Cast, card_key: Path) -> None:
        """It is issued with the first day of that key; the register still knows the day of the card."""
        card = factory.card(cast, cast.ada, on=ON - 30 * DAY)
        key = CardKey.objects.get()
        url = address()
        says = unseal(url.partition("#")[2], {bytes.fromhex(key.key_id): bytes.fromhex(key.public)}).says
        assert card.valid_from < key.signs_from == says.issued_on
        assert url == address()
        assert queries.check_code(url, at=factory.noon(ON)).answer is Answer.ACCEPT


def address() -> str:
    """Sign the code of the only card."""
    return cards.code_url(cards.face(cards.cards().get(), on=ON))
