"""What a proof refuses, and how a status list is packed."""

import gzip
from base64 import urlsafe_b64decode
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from certs.credentials import code
from certs.credentials.code import ProofRefused
from certs.credentials.rules import DATA_MODEL, ENTRIES, OPEN_BADGES

KEY = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
METHOD = "https://cards.example.org/credentials/issuer/#key"
KEYS = {METHOD: KEY.public_key().public_bytes_raw()}
PLAIN: dict[str, Any] = {
    "@context": [DATA_MODEL, OPEN_BADGES],
    "id": "urn:uuid:4e9f1c33-0d6b-4f5e-9a43-0a3b7a1f0c01",
    "type": ["VerifiableCredential", "OpenBadgeCredential"],
    "validFrom": "2026-11-25T00:00:00Z",
}


def signed() -> dict[str, Any]:
    return code.sign(PLAIN, key=KEY, method=METHOD, created="2026-11-25T09:00:00Z")


class TestVerify:
    def test_accepts_its_own(self) -> None:
        """Signed here."""
        code.verify(signed(), KEYS)

    @pytest.mark.parametrize(
        ("change", "why"),
        [
            ({"cryptosuite": "eddsa-jcs-2022"}, "suite"),
            ({"type": "Ed25519Signature2020"}, "suite"),
            ({"proofPurpose": "authentication"}, "suite"),
            ({"verificationMethod": METHOD + "s"}, "not known"),
            ({"verificationMethod": [METHOD]}, "not known"),
            ({"proofValue": None}, "base 58"),
            ({"proofValue": "u5x9"}, "base 58"),
            ({"proofValue": "z0OIl"}, "base 58"),
            ({"proofValue": "z" + "2" * 100_000}, "base 58"),
            ({"proofValue": "z11"}, "does not fit"),
            ({"created": "2026-11-25T09:00:01Z"}, "does not fit"),
        ],
    )
    def test_refuses_a_changed_proof(self, change: dict[str, Any], why: str) -> None:
        """Another suite, purpose, key, moment or value."""
        document = signed()
        document["proof"] |= change
        with pytest.raises(ProofRefused, match=why):
            code.verify(document, KEYS)

    @pytest.mark.parametrize("proof", [None, "yes", [], {}])
    def test_refuses_without_a_proof(self, proof: object) -> None:
        """Nothing, or nothing that could be one."""
        with pytest.raises(ProofRefused, match="no proof"):
            code.verify(PLAIN | {"proof": proof}, KEYS)

    def test_refuses_the_key_of_another(self) -> None:
        """The right name over the wrong key."""
        other = Ed25519PrivateKey.from_private_bytes(bytes(32)).public_key().public_bytes_raw()
        with pytest.raises(ProofRefused, match="does not fit"):
            code.verify(signed(), {METHOD: other})

    def test_refuses_every_changed_bit_of_the_value(self) -> None:
        """All 512."""
        document = signed()
        value = int.from_bytes(code.from_base58(document["proof"]["proofValue"][1:]), "big")
        for bit in range(0, 512, 7):
            document["proof"]["proofValue"] = "z" + code.base58((value ^ 1 << bit).to_bytes(64, "big"))
            with pytest.raises(ProofRefused):
                code.verify(document, KEYS)


class TestContexts:
    @pytest.mark.parametrize(
        "url",
        ["https://www.w3.org/2018/credentials/v1", "file:///etc/passwd", "http://127.0.0.1/", DATA_MODEL + "#"],
    )
    def test_no_other_is_loaded(self, url: str) -> None:
        """Neither from the network nor from the disk."""
        with pytest.raises(ProofRefused, match="not one of those kept here"):
            code.canonical(PLAIN | {"@context": [DATA_MODEL, url]})

    def test_a_word_outside_them_is_refused(self) -> None:
        """It would be dropped before hashing, so the proof would not cover it."""
        with pytest.raises(ProofRefused, match="No context defines"):
            code.canonical(PLAIN | {"maySupervise": True})

    def test_what_is_no_json_ld_is_refused(self) -> None:
        """With a sentence, not with a fault of the library."""
        with pytest.raises(ProofRefused, match="cannot be read"):
            code.canonical(PLAIN | {"id": 7})


class TestPacked:
    """W3C Bitstring Status List 1.0: base64url of GZIP, multibase prefix u, first bit leftmost."""

    def unpacked(self, places: list[int]) -> bytes:
        encoded = code.packed(places)
        assert encoded.startswith("u")
        assert "=" not in encoded
        return gzip.decompress(urlsafe_b64decode(encoded[1:] + "=="))

    def test_is_16_kib(self) -> None:
        """131,072 entries of one bit, all clear."""
        assert self.unpacked([]) == bytes(16_384)

    def test_counts_from_the_left(self) -> None:
        """Place 0 is the highest bit of the first byte, the last place the lowest bit of the last."""
        bits = self.unpacked([0, 9, ENTRIES - 1])
        assert (bits[0], bits[1], bits[-1]) == (0x80, 0x40, 0x01)

    def test_is_the_same_each_time(self) -> None:
        """No moment is packed along."""
        assert code.packed([5]) == code.packed([5])


class TestBase58:
    def test_of_nothing(self) -> None:
        """And of zeros alone."""
        assert (code.base58(b""), code.base58(b"\0\0"), code.from_base58("11")) == ("", "11", b"\0\0")
