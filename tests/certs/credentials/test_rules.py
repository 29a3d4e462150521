"""What a credential holds, and what one must hold: Open Badges 3.0 data model, W3C data model 2.0."""

import copy
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest

from certs.cards.rules import Standing
from certs.credentials import rules
from certs.credentials.rules import SET_BY, Facts, Purpose

SITE = "https://cards.example.org"
FACTS = Facts(
    identity="urn:uuid:4e9f1c33-0d6b-4f5e-9a43-0a3b7a1f0c01",
    issuer=f"{SITE}/credentials/issuer/",
    site=SITE,
    issuer_name="Certification body",
    holder="Ada Crew",
    number="FB-2345-6789",
    scheme="Bonds by pin brazing",
    scheme_slug="bonds",
    issue=1,
    scope="Fixing bonds.",
    limits="",
    criteria="Passed.",
    starts=datetime(2026, 11, 25, tzinfo=UTC),
    ends=datetime(2029, 11, 25, tzinfo=UTC),
    lists={purpose: f"{SITE}/credentials/status/{purpose}/0/" for purpose in Purpose},
    entry=77,
)
REQUIRED = [
    "@context",
    "id",
    "type",
    "issuer.id",
    "issuer.type",
    "validFrom",
    "credentialSubject.type",
    "credentialSubject.achievement.id",
    "credentialSubject.achievement.type",
    "credentialSubject.achievement.name",
    "credentialSubject.achievement.description",
    "credentialSubject.achievement.criteria",
]


def changed(path: str, value: object) -> dict[str, Any]:
    """Return the credential with one part set, or taken out when the value is None."""
    document = copy.deepcopy(rules.credential(FACTS))
    *way, last = path.split(".")
    part = document
    for name in way:
        part = part[name]
    if value is None:
        del part[last]
    else:
        part[last] = value
    return document


class TestCredential:
    def test_holds_what_it_must(self) -> None:
        """Every required member is there."""
        assert rules.lacking(rules.credential(FACTS)) == ()

    def test_ends_at_the_first_moment_after_the_last_day(self) -> None:
        """validUntil is exclusive."""
        assert rules.credential(FACTS)["validUntil"] == "2029-11-25T00:00:00Z"

    def test_names_both_lists(self) -> None:
        """As BitstringStatusListEntry."""
        entries = rules.credential(FACTS)["credentialStatus"]
        assert [one["statusPurpose"] for one in entries] == ["revocation", "suspension"]
        assert {one["statusListIndex"] for one in entries} == {"77"}

    def test_joins_limits_to_the_scope(self) -> None:
        """Nobody reads the one without the other."""
        said = rules.credential(FACTS)["credentialSubject"]["achievement"]["description"]
        assert said == "Fixing bonds."


class TestLacking:
    @pytest.mark.parametrize("path", REQUIRED)
    def test_names_a_missing_part(self, path: str) -> None:
        """Each required member in turn."""
        assert rules.lacking(changed(path, None)) == (path,)

    @pytest.mark.parametrize(
        ("path", "value"),
        [
            ("@context", [rules.DATA_MODEL]),
            ("@context", [rules.DATA_MODEL, rules.OPEN_BADGES, {"name": "https://example.org/other"}]),
            ("id", ""),
            ("type", "VerifiableCredential"),
            ("type", {"a": 1}),
            ("issuer.type", ["Person"]),
            ("validFrom", "2026-11-25"),
            ("validFrom", "2026-11-25T00:00:00"),
            ("validFrom", "2026-13-25T00:00:00Z"),
            ("validFrom", 5),
            ("validUntil", "soon"),
            ("credentialSubject.achievement.criteria", {}),
            ("credentialSubject.achievement.criteria", "yes"),
        ],
    )
    def test_names_a_part_that_cannot_be(self, path: str, value: object) -> None:
        """Other contexts, a day without its zone, criteria without a word."""
        assert rules.lacking(changed(path, value)) == (path,)

    def test_wants_a_person_named(self) -> None:
        """By address or by identifier."""
        document = changed("credentialSubject.identifier", None)
        assert rules.lacking(document) == ("credentialSubject.id or credentialSubject.identifier",)
        document["credentialSubject"]["id"] = "did:example:1"
        assert rules.lacking(document) == ()

    def test_does_without_a_last_day(self) -> None:
        """validUntil is optional; criteria may be an address."""
        assert rules.lacking(changed("validUntil", None)) == ()
        assert rules.lacking(changed("credentialSubject.achievement.criteria", {"id": "https://example.org"})) == ()

    @pytest.mark.parametrize("document", [None, [], "text", 7, {}, {"issuer": "https://example.org"}])
    def test_names_everything_of_what_is_none(self, document: object) -> None:
        """Anything may be in a file."""
        assert len(rules.lacking(document)) == len(REQUIRED) + 1

    def test_takes_a_single_type_as_one(self) -> None:
        """JSON-LD allows both."""
        assert rules.lacking(changed("issuer.type", "Profile")) == ()


class TestMoments:
    def test_are_written_in_utc(self) -> None:
        """To the second."""
        at = datetime(2026, 11, 25, 1, 30, 15, 9, tzinfo=timezone(timedelta(hours=2)))
        assert rules.moment(at) == "2026-11-24T23:30:15Z"


class TestLists:
    def test_set_a_bit_for_every_standing_that_does_not_hold(self) -> None:
        """Dates are in the file itself, so no bit is needed for them."""
        by_date = {Standing.LAPSED, Standing.NOT_YET_VALID}
        assert {s for s in Standing if not s.holds} - by_date == SET_BY[Purpose.REVOCATION] | SET_BY[Purpose.SUSPENSION]

    def test_are_signed_by_the_issuer_for_one_purpose(self) -> None:
        """As BitstringStatusListCredential."""
        made = rules.status_list(
            address="https://a.example/1/",
            issuer="https://a.example/",
            purpose=Purpose.REVOCATION,
            encoded="uH4",
            at=FACTS.starts,
        )
        assert made["credentialSubject"]["encodedList"] == "uH4"
        assert made["credentialSubject"]["statusPurpose"] == "revocation"
        assert made["type"] == ["VerifiableCredential", "BitstringStatusListCredential"]


class TestIssuerDocument:
    def test_lists_each_key_as_a_multikey(self) -> None:
        """A checker finds the method that a proof names."""
        made = rules.issuer_document(issuer="https://a.example/", keys=["z6MkA", "z6MkB"])
        assert made["assertionMethod"] == ["https://a.example/#z6MkA", "https://a.example/#z6MkB"]
        assert {one["type"] for one in made["verificationMethod"]} == {"Multikey"}
        assert {one["controller"] for one in made["verificationMethod"]} == {"https://a.example/"}
