"""Faces, standings of many, the signed address, and what a check answers."""

import os
from datetime import date, timedelta
from io import StringIO
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.x25519 import X25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from django.core.management import CommandError, call_command
from pytest_django import DjangoAssertNumQueries, Settings

from certs.cards import code, operations, queries
from certs.cards.models import CardKey
from certs.cards.queries import Answer, KeyUnavailable
from certs.cards.rules import Standing, Step
from tests.cast import ON, Cast
from tests.certs import factory
from training.content.schemes import Unconfirmed

DAY = timedelta(days=1)
DUE = date(2027, 5, 25)


class TestStandings:
    """One card for each person and scheme, at a fixed price."""

    def test_picks_the_card_that_counted_on_the_day(self, cast: Cast) -> None:
        """Before the renewal the old one, after it the new one, before any none."""
        factory.card(cast, cast.ada, on=ON)
        factory.card(cast, cast.ada, on=date(2029, 9, 1))
        ids = [cast.ada.pk, cast.ben.pk]
        assert queries.standings(ids, on=ON - DAY) == {}
        (before,) = queries.standings(ids, on=date(2029, 8, 31)).values()
        (after,) = queries.standings(ids, on=date(2029, 9, 1)).values()
        assert (before.last_day, after.last_day) == (date(2029, 11, 24), date(2032, 11, 24))
        assert after.standing is Standing.CURRENT

    def test_costs_three_queries_however_many(
        self, cast: Cast, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        """Cards, measures, confirmations."""
        for person in (cast.ada, cast.ben, cast.quin):
            card = factory.card(cast, person, on=ON)
            operations.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="why", on=ON, at=factory.noon(ON))
        with django_assert_num_queries(3):
            found = queries.standings([cast.ada.pk, cast.ben.pk, cast.quin.pk], on=ON)
        assert {each.standing for each in found.values()} == {Standing.SUSPENDED}


class TestReasons:
    """Every standing has its sentence with a day."""

    def test_name_the_day(self, cast: Cast) -> None:
        """From the eve of the first day to the grace."""
        factory.card(cast, cast.ada, on=ON)
        card = queries.cards().get()
        assert queries.face(card, on=ON - DAY).reason == "Not valid before 25 Nov 2026."
        assert queries.face(card, on=ON).reason == "Good to the end of 24 Nov 2029."
        assert queries.face(card, on=DUE + DAY).reason == "Work was to be confirmed by 25 May 2027 and was not."
        lapsed = queries.face(card, on=date(2029, 11, 25)).reason
        assert lapsed.startswith("The last day was 24 Nov 2029. No work under this card.")
        assert "24 May 2030" in lapsed


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
        url = queries.code_url(queries.face(queries.cards().get(), on=ON))
        assert url.startswith("https://cards.example.org/check#")
        assert queries.check_code(url, at=factory.noon(ON)).answer is Answer.ACCEPT
        assert queries.check_code(url[:-4], at=factory.noon(ON)).answer is Answer.REFUSE

    def test_of_a_suspended_card_is_refused(self, cast: Cast, card_key: Path) -> None:
        """The register has the last word."""
        card = factory.card(cast, cast.ada, on=ON)
        url = queries.code_url(queries.face(queries.cards().get(), on=ON))
        operations.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="why", on=ON, at=factory.noon(ON))
        assert queries.check_code(url, at=factory.noon(ON)).answer is Answer.REFUSE

    def test_that_differs_from_the_register_asks_to_telephone(self, cast: Cast, card_key: Path) -> None:
        """Another name under a genuine signature."""
        card = factory.card(cast, cast.ada, on=ON)
        url = queries.code_url(queries.face(queries.cards().get(), on=ON))
        card.holder_name = "Ada Other"
        card.save()
        checked = queries.check_code(url, at=factory.noon(ON))
        assert checked.answer is Answer.TELEPHONE
        assert "not what the register says" in checked.reasons[-1]

    def test_of_a_card_the_register_has_lost_is_refused(self, cast: Cast, card_key: Path) -> None:
        """Signed is not enough."""
        card = factory.card(cast, cast.ada, on=ON)
        url = queries.code_url(queries.face(queries.cards().get(), on=ON))
        card.delete()
        assert queries.check_code(url, at=factory.noon(ON)).face is None


class TestKey:
    """The private key stays in its file, and others cannot read it."""

    def test_is_made_once_with_its_mode_and_its_public_half(self, card_key: Path) -> None:
        """0400, recorded, never overwritten."""
        assert card_key.stat().st_mode & 0o777 == 0o400
        public = queries.signing_key().public_key().public_bytes_raw()
        assert CardKey.objects.get().key_id == code.key_id(public).hex()
        before = card_key.read_bytes()
        with pytest.raises(CommandError, match="already"):
            call_command("make_card_key", stdout=StringIO())
        assert card_key.read_bytes() == before

    def test_can_be_recorded_again_in_a_new_register(self, card_key: Path) -> None:
        """A database made afresh learns the key that is there."""
        CardKey.objects.all().delete()
        with pytest.raises(KeyUnavailable, match="not in the register"):
            queries.signing_key()
        call_command("make_card_key", stdout=StringIO())
        assert queries.signing_key()

    @pytest.mark.parametrize("mode", [0o440, 0o404, 0o420, 0o600 | 0o010])
    def test_is_refused_when_others_reach_it(self, card_key: Path, mode: int) -> None:
        """Any bit for group or world."""
        card_key.chmod(mode)
        with pytest.raises(KeyUnavailable, match="0400"):
            queries.signing_key()

    def test_is_asked_for_when_missing(self, db: None, settings: Settings, tmp_path: Path) -> None:
        """The sentence names the command."""
        settings.CARD_KEY_FILE = tmp_path / "none"
        with pytest.raises(KeyUnavailable, match="make_card_key"):
            queries.signing_key()

    def test_of_another_kind_is_refused(self, db: None, settings: Settings, tmp_path: Path) -> None:
        """Only Ed25519 signs cards."""
        settings.CARD_KEY_FILE = tmp_path / "other.key"
        pem = X25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        settings.CARD_KEY_FILE.write_bytes(pem)
        os.chmod(settings.CARD_KEY_FILE, 0o400)  # noqa: PTH101
        with pytest.raises(KeyUnavailable, match="Ed25519"):
            queries.signing_key()
        with pytest.raises(CommandError, match="another kind"):
            call_command("make_card_key", stdout=StringIO())
