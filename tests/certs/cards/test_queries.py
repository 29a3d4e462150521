"""Faces, standings of many, and the keys that sign."""

import os
from datetime import date, timedelta
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.x25519 import X25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from pytest_django import DjangoAssertNumQueries, Settings

from certs.cards import code, operations, queries
from certs.cards.models import CardKey
from certs.cards.queries import KeyUnavailable
from certs.cards.rules import Standing, Step
from tests.cast import ON, Cast
from tests.certs import factory

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


class TestKey:
    """The private key stays in its file, and others cannot read it."""

    def test_is_made_with_its_mode_and_its_public_half(self, card_key: Path) -> None:
        """0400, and the register knows it."""
        assert card_key.stat().st_mode & 0o777 == 0o400
        key, row = queries.signing_key(on=ON)
        assert CardKey.objects.get() == row
        assert row.key_id == code.key_id(key.public_key().public_bytes_raw()).hex()

    @pytest.mark.parametrize("mode", [0o440, 0o404, 0o420, 0o600 | 0o010])
    def test_is_refused_when_others_reach_it(self, card_key: Path, mode: int) -> None:
        """Any bit for group or world."""
        card_key.chmod(mode)
        with pytest.raises(KeyUnavailable, match="0400"):
            queries.signing_key(on=ON)

    def test_is_asked_for_when_missing(self, db: None, settings: Settings, tmp_path: Path) -> None:
        """The sentence names the command."""
        settings.CARD_KEY_FILE = tmp_path / "none"
        with pytest.raises(KeyUnavailable, match="keys new"):
            queries.signing_key(on=ON)

    def test_unknown_to_the_register_signs_nothing(self, card_key: Path) -> None:
        """A key from elsewhere would make cards that no phone believes."""
        CardKey.objects.all().delete()
        with pytest.raises(KeyUnavailable, match="not in the register"):
            queries.signing_key(on=ON)

    @pytest.mark.parametrize("day", [ON - DAY, date(2028, 11, 26)])
    def test_signs_on_its_days_only(self, card_key: Path, day: date) -> None:
        """From its first day to its last, two years on."""
        assert queries.signing_key(on=date(2028, 11, 25))
        with pytest.raises(KeyUnavailable, match="may not sign today"):
            queries.signing_key(on=day)

    def test_broken_signs_nothing(self, card_key: Path) -> None:
        """On none of its days."""
        CardKey.objects.update(broken_on=ON)
        with pytest.raises(KeyUnavailable, match="may not sign today"):
            queries.signing_key(on=ON)

    @pytest.mark.parametrize("kind", ["another", "nonsense"])
    def test_of_another_kind_is_refused(self, db: None, settings: Settings, tmp_path: Path, kind: str) -> None:
        """Only Ed25519 signs cards."""
        settings.CARD_KEY_FILE = tmp_path / "other.key"
        pem = X25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        settings.CARD_KEY_FILE.write_bytes(pem if kind == "another" else b"nonsense")
        os.chmod(settings.CARD_KEY_FILE, 0o400)  # noqa: PTH101
        with pytest.raises(KeyUnavailable, match="Ed25519"):
            queries.signing_key(on=ON)
