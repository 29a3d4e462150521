"""What a card comes to as an Open Badges 3.0 credential, and what one must hold. Plain values; moments in UTC.

Sources: Open Badges Specification 3.0 (data model: OpenBadgeCredential, AchievementSubject, Achievement, Profile,
IdentityObject); W3C Verifiable Credentials Data Model 2.0; W3C Bitstring Status List 1.0. The names of their parts are
used in this room and nowhere else.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from certs.cards.rules import Standing

DATA_MODEL = "https://www.w3.org/ns/credentials/v2"
OPEN_BADGES = "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json"
# The least length of a list that the standard allows, so that a place in it names nobody.
ENTRIES = 131_072
# Lists are filled to a half and then a new one begins, so that a place drawn by chance is soon found free.
FILL = ENTRIES // 2
FRESH_MS = 300_000


class Purpose(StrEnum):
    """What a set bit says about a card."""

    REVOCATION = "revocation"
    SUSPENSION = "suspension"


SET_BY: Mapping[Purpose, frozenset[Standing]] = {
    Purpose.REVOCATION: frozenset({Standing.WITHDRAWN, Standing.REPLACED}),
    Purpose.SUSPENSION: frozenset({Standing.SUSPENDED, Standing.WORK_NOT_CONFIRMED, Standing.PROCEDURE_OVERDUE}),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What the credential of a card says; addresses without a slash at the end, `ends` is the first moment after it."""

    identity: str
    issuer: str
    site: str
    issuer_name: str
    holder: str
    number: str
    scheme: str
    scheme_slug: str
    issue: int
    scope: str
    limits: str
    criteria: str
    starts: datetime
    ends: datetime
    lists: Mapping[Purpose, str]
    entry: int


def moment(at: datetime) -> str:
    """Return a moment as the standards write it, to the second: 2026-11-25T09:00:00Z."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def began(at: datetime) -> datetime:
    """Return when the minutes began for which a list made at a moment may be kept: they divide a day."""
    return datetime.fromtimestamp(at.timestamp() // (FRESH_MS // 1000) * (FRESH_MS // 1000), UTC)


def credential(facts: Facts) -> dict[str, Any]:
    """Return the credential of a card, still without its proof."""
    return {
        "@context": [DATA_MODEL, OPEN_BADGES],
        "id": facts.identity,
        "type": ["VerifiableCredential", "OpenBadgeCredential"],
        "name": facts.scheme,
        "issuer": {"id": facts.issuer, "type": ["Profile"], "name": facts.issuer_name, "url": facts.site},
        "validFrom": moment(facts.starts),
        "validUntil": moment(facts.ends),
        "credentialSubject": {
            "type": ["AchievementSubject"],
            "identifier": [
                {"type": "IdentityObject", "identityType": "name", "hashed": False, "identityHash": facts.holder}
            ],
            "licenseNumber": facts.number,
            "achievement": {
                "id": f"{facts.site}/schemes/{facts.scheme_slug}/#issue-{facts.issue}",
                "type": ["Achievement"],
                "achievementType": "Certification",
                "name": facts.scheme,
                "version": str(facts.issue),
                "description": " ".join(part for part in (facts.scope, facts.limits) if part),
                "criteria": {"narrative": facts.criteria},
            },
        },
        "credentialStatus": [_entry(facts, purpose) for purpose in Purpose],
    }


def _entry(facts: Facts, purpose: Purpose) -> dict[str, str]:
    address = facts.lists[purpose]
    return {
        "id": f"{address}#{facts.entry}",
        "type": "BitstringStatusListEntry",
        "statusPurpose": purpose.value,
        "statusListIndex": str(facts.entry),
        "statusListCredential": address,
    }


def status_list(*, address: str, issuer: str, purpose: Purpose, encoded: str, at: datetime) -> dict[str, Any]:
    """Return the credential of a status list, still without its proof."""
    return {
        "@context": [DATA_MODEL],
        "id": address,
        "type": ["VerifiableCredential", "BitstringStatusListCredential"],
        "issuer": issuer,
        "validFrom": moment(at),
        "credentialSubject": {
            "id": f"{address}#list",
            "type": "BitstringStatusList",
            "statusPurpose": purpose.value,
            "ttl": FRESH_MS,
            "encodedList": encoded,
        },
    }


def issuer_document(*, issuer: str, keys: Iterable[str]) -> dict[str, Any]:
    """Return the document that names the public keys (W3C Controlled Identifiers 1.0), each a Multikey."""
    methods = [
        {"id": f"{issuer}#{key}", "type": "Multikey", "controller": issuer, "publicKeyMultibase": key} for key in keys
    ]
    return {
        "@context": "https://www.w3.org/ns/cid/v1",
        "id": issuer,
        "verificationMethod": methods,
        "assertionMethod": [method["id"] for method in methods],
    }


def lacking(document: object) -> tuple[str, ...]:
    """Return the paths of what a credential must hold and does not, in the order of the data model.

    Contexts have to be the two used here: with others the same proof could cover other words.
    """
    found = _Reader(document)
    found.say("@context", found.at("@context") == [DATA_MODEL, OPEN_BADGES])
    found.text("id")
    found.types("type", {"VerifiableCredential", "OpenBadgeCredential"})
    found.text("issuer.id")
    found.types("issuer.type", {"Profile"})
    found.moment("validFrom")
    if found.at("validUntil") is not None:
        found.moment("validUntil")
    found.types("credentialSubject.type", {"AchievementSubject"})
    named = found.at("credentialSubject.id") or found.at("credentialSubject.identifier")
    found.say("credentialSubject.id or credentialSubject.identifier", bool(named))
    for name in ("id", "name", "description"):
        found.text(f"credentialSubject.achievement.{name}")
    found.types("credentialSubject.achievement.type", {"Achievement"})
    criteria = found.at("credentialSubject.achievement.criteria")
    tells = isinstance(criteria, dict) and (criteria.get("id") or criteria.get("narrative"))
    found.say("credentialSubject.achievement.criteria", bool(tells))
    return tuple(found.missing)


class _Reader:
    """Reads parts of a document by dotted path and notes those that are not there."""

    def __init__(self, document: object) -> None:
        self.document = document
        self.missing: list[str] = []

    def at(self, path: str) -> Any:
        part: Any = self.document
        for name in path.split("."):
            part = part.get(name) if isinstance(part, dict) else None
        return part

    def say(self, path: str, there: bool) -> None:
        if not there:
            self.missing.append(path)

    def text(self, path: str) -> None:
        self.say(path, isinstance(self.at(path), str) and bool(self.at(path)))

    def types(self, path: str, wanted: set[str]) -> None:
        given = self.at(path)
        given = [given] if isinstance(given, str) else given
        self.say(path, isinstance(given, list) and all(one in given for one in wanted))

    def moment(self, path: str) -> None:
        self.say(path, read_moment(self.at(path)) is not None)


def read_moment(text: object) -> datetime | None:
    """Return a moment written with its zone (XML Schema dateTimeStamp), or None for anything else."""
    if not isinstance(text, str) or "T" not in text:
        return None
    try:
        read = datetime.fromisoformat(text)
    except ValueError:
        return None
    return read if read.tzinfo else None
