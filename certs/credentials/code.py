"""Proofs of the suite eddsa-rdfc-2022 and packed status lists: pure bytes, no clock and no network.

Sources: W3C Verifiable Credential Data Integrity 1.0; W3C Data Integrity EdDSA Cryptosuites 1.0, section 3.2; W3C
Controlled Identifiers 1.0 for keys and bases; W3C Bitstring Status List 1.0. The canonical form of the data (RDF
dataset canonicalisation) is made by PyLD. A context is read from the folder beside this file or not at all.
"""

import gzip
import json
from base64 import urlsafe_b64encode
from collections.abc import Iterable, Mapping
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, NoReturn

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from pyld import jsonld

from certs.credentials.rules import DATA_MODEL, ENTRIES, OPEN_BADGES

Document = Mapping[str, Any]

FILES = {DATA_MODEL: "credentials-v2.json", OPEN_BADGES: "achievements-3.0.3.json"}

SUITE = {"type": "DataIntegrityProof", "cryptosuite": "eddsa-rdfc-2022", "proofPurpose": "assertionMethod"}
# The multicodec prefix of an Ed25519 public key, and the letters of base58 as Bitcoin orders them.
ED25519 = b"\xed\x01"
BASE58 = "123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz"
# 64 bytes take at most 88 letters, and one more names the base.
LONGEST = 89


class ProofRefused(ValueError):
    """The document does not prove what it says; the message is for whoever reads the log."""


def sign(document: Document, *, key: Ed25519PrivateKey, method: str, created: str) -> dict[str, Any]:
    """Return the document with its proof; `method` names the public key, `created` is as `rules.moment` writes it.

    Raises ProofRefused where a property is in none of the contexts and would stay unsigned.
    """
    options = {**SUITE, "created": created, "verificationMethod": method}
    signature = key.sign(digest(document, options))
    return {**document, "proof": {**options, "proofValue": f"z{base58(signature)}"}}


def verify(secured: Document, keys: Mapping[str, bytes]) -> None:
    """Raise ProofRefused unless the proof was made over these data by one of the keys: 32 bytes by method."""
    proof = secured.get("proof")
    if not isinstance(proof, dict) or any(proof.get(name) != value for name, value in SUITE.items()):
        raise ProofRefused("There is no proof of the suite eddsa-rdfc-2022.")
    method = proof.get("verificationMethod")
    public = keys.get(method) if isinstance(method, str) else None
    if public is None:
        raise ProofRefused("The key of the proof is not known here.")
    value = proof.get("proofValue")
    if not isinstance(value, str) or not value.startswith("z") or len(value) > LONGEST:
        raise ProofRefused("The value of the proof is not in base 58.")
    document = {name: part for name, part in secured.items() if name != "proof"}
    options = {name: part for name, part in proof.items() if name != "proofValue"}
    try:
        Ed25519PublicKey.from_public_bytes(public).verify(from_base58(value[1:]), digest(document, options))
    except InvalidSignature:
        raise ProofRefused("The proof does not fit what the document says.") from None


def digest(document: Document, options: Document) -> bytes:
    """Return the 64 bytes that are signed: the hash of the proof's options, then the hash of the document."""
    config = {"@context": document.get("@context"), **options}
    return sha256(canonical(config)).digest() + sha256(canonical(document)).digest()


def canonical(document: Document) -> bytes:
    """Return the canonical N-Quads of a document. Raises ProofRefused, also for a context from elsewhere."""
    try:
        loading = {"documentLoader": held}
        expanded = jsonld.expand(dict(document), loading, on_property_dropped=_unsigned)
        quads = jsonld.normalize(expanded, {**loading, "algorithm": "URDNA2015", "format": "application/n-quads"})
    except jsonld.JsonLdError as error:
        # PyLD wraps what its loader raises; that sentence says more than its own.
        why = error.__cause__ if isinstance(error.__cause__, ProofRefused) else f"{error.type}"
        raise ProofRefused(f"The document cannot be read. {why}") from error
    return str(quads).encode()


def held(url: str, _options: object = None) -> dict[str, Any]:
    """Return a context that lies in the folder; raise ProofRefused for any other address."""
    if url not in FILES:
        raise ProofRefused(f"The context {url[:200]} is not one of those kept here.")
    return {"contentType": "application/ld+json", "contextUrl": None, "documentUrl": url, "document": _file(url)}


@cache
def _file(url: str) -> Any:
    return json.loads((Path(__file__).parent / "contexts" / FILES[url]).read_text(encoding="utf-8"))


def _unsigned(name: str | None) -> NoReturn:
    raise ProofRefused(f"No context defines {name}, so a proof would not cover it.")


def multikey(public: bytes) -> str:
    """Return an Ed25519 public key of 32 bytes as a Multikey: z6Mk..."""
    return f"z{base58(ED25519 + public)}"


def base58(data: bytes) -> str:
    """Return bytes in base 58; each leading zero byte is a leading 1."""
    number, text = int.from_bytes(data, "big"), ""
    while number:
        number, digit = divmod(number, 58)
        text = BASE58[digit] + text
    return "1" * (len(data) - len(data.lstrip(b"\0"))) + text


def from_base58(text: str) -> bytes:
    """Return the bytes of a text in base 58. Raises ProofRefused."""
    number = 0
    for character in text:
        digit = BASE58.find(character)
        if digit < 0:
            raise ProofRefused("The value of the proof is not in base 58.")
        number = number * 58 + digit
    zeros = len(text) - len(text.lstrip("1"))
    return b"\0" * zeros + number.to_bytes((number.bit_length() + 7) // 8, "big")


def packed(places: Iterable[int]) -> str:
    """Return a list of ENTRIES bits with these set, as `encodedList` holds it; place 0 is the leftmost bit."""
    bits = bytearray(ENTRIES // 8)
    for place in places:
        bits[place // 8] |= 0x80 >> place % 8
    return "u" + urlsafe_b64encode(gzip.compress(bytes(bits), mtime=0)).rstrip(b"=").decode()
