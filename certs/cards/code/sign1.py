"""A message signed with Ed25519 as COSE_Sign1 (RFC 9052, 4.2), in deterministic CBOR (RFC 8949, 4.2.1).

One algorithm (-19, RFC 9864), one frame: nothing in it is negotiable, and no byte of it is free. What a message is
for goes under the signature as external data (RFC 9052, 4.3), so that a list signed with the key of the cards can
never pass for a card.
"""

import base64
import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import cbor2
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

ED25519 = -19
SIGN1 = 18
SIGNATURE = 64
# tag 18, array of 4, then the protected header as a string of 10 bytes: {1: -19, 4: 4 bytes}.
HEAD = bytes.fromhex("d2844aa201320444")
# What lies before the payload: head, key id, the empty unprotected map; and after it: 58 40 and the signature.
BEFORE = len(HEAD) + 4 + 1
AFTER = 2 + SIGNATURE
# A string of bytes begins with its length in one of these many bytes.
LENGTHS = (1, 2, 3, 5)
BASE64URL = re.compile(r"[A-Za-z0-9_-]+")


class CodeRefused(ValueError):
    """The text is not a code that one of the given keys has signed."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A payload whose signature has held, and the id of the key that made it."""

    payload: bytes
    signed_by: bytes


def key_id(public: bytes) -> bytes:
    """Return the four bytes that name a public key: the first of its SHA-256."""
    return hashlib.sha256(public).digest()[:4]


def seal(payload: bytes, key: Ed25519PrivateKey, *, purpose: bytes) -> str:
    """Return the signed message as base64url without padding."""
    named = key_id(key.public_key().public_bytes_raw())
    return _text(_envelope(named, payload, key.sign(_to_be_signed(named, payload, purpose))))


def unseal(text: str, keys: Mapping[bytes, bytes], *, purpose: bytes, longest: int) -> Opened:
    """Return what was signed for that purpose. `keys`: key id to public key (32 bytes). Anything else: CodeRefused.

    `longest` bounds the text, in characters. The frame is rebuilt for comparison before anything is decoded.
    """
    raw = _bytes(text, longest)
    named, signature = raw[len(HEAD) : BEFORE - 1], raw[-SIGNATURE:]
    for length in LENGTHS:
        payload = raw[BEFORE + length : -AFTER]
        if raw == _envelope(named, payload, signature):
            return Opened(_held(named, payload, signature, keys, purpose), named)
    raise CodeRefused("This was not made here.")


def encode(values: Sequence[object]) -> bytes:
    """Return the map {0: first, 1: second ...}, which is what every payload is."""
    return cbor2.dumps(dict(enumerate(values)))


def facts(payload: bytes, kinds: Sequence[type]) -> list[Any]:
    """Return the values of a map with the keys 0, 1, 2 ..., each of its kind, else raise CodeRefused.

    A key used for something else must not pass for ours: types are exact (true is not 1), and so is the spelling.
    """
    try:
        said = cbor2.loads(payload)
    except cbor2.CBORError:
        raise CodeRefused("This holds nothing readable.") from None
    if not isinstance(said, dict) or [type(fact) for fact in said.values()] != list(kinds):
        raise CodeRefused("This does not hold the facts it should.")
    if encode(list(said.values())) != payload:
        raise CodeRefused("This is of another make.")
    return list(said.values())


def _held(named: bytes, payload: bytes, signature: bytes, keys: Mapping[bytes, bytes], purpose: bytes) -> bytes:
    if named not in keys:
        raise CodeRefused("This code was signed with a key that is not known here.")
    try:
        Ed25519PublicKey.from_public_bytes(keys[named]).verify(signature, _to_be_signed(named, payload, purpose))
    except InvalidSignature:
        raise CodeRefused("The signature of this code does not hold.") from None
    return payload


def _envelope(named: bytes, payload: bytes, signature: bytes) -> bytes:
    return cbor2.dumps(cbor2.CBORTag(SIGN1, [_protected(named), {}, payload, signature]))


def _protected(named: bytes) -> bytes:
    return cbor2.dumps({1: ED25519, 4: named})


def _to_be_signed(named: bytes, payload: bytes, purpose: bytes) -> bytes:
    return cbor2.dumps(["Signature1", _protected(named), purpose, payload])


def _text(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode("ascii")


def _bytes(text: str, longest: int) -> bytes:
    """Decode base64url; only the one spelling that encoding gives passes."""
    if len(text) > longest or not BASE64URL.fullmatch(text) or len(text) % 4 == 1:
        raise CodeRefused("This was not made here.")
    raw = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    if _text(raw) != text:
        raise CodeRefused("This was not made here.")
    return raw
