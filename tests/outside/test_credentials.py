"""Signed files of cards against the published vectors of their standards, bit for bit.

Sources: Open Badges 3.0 Implementation Guide, final release, 'Linked Data Proof Test Vector for Open Badges 3.0' (whole
document in data/openbadges_signed.json); W3C Data Integrity EdDSA Cryptosuites 1.0, appendix B.1 (representation
eddsa-rdfc-2022); base58 vectors of the IETF draft draft-msporny-base58-03, section 5.
"""

import json
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from certs.credentials import code, rules

SIGNED = json.loads((Path(__file__).parent / "data" / "openbadges_signed.json").read_text(encoding="utf-8"))
SECRET = bytes.fromhex("6241a409e6707bb640a0140a8a32bc3d193c33a661747284d6adfa4ed4180be4")
PUBLIC = bytes.fromhex("4bdeafde2ea8beefadd8c699b5c7e0704cf51154d52e17b20b71337ca04cc5a5")
MULTIKEY = "z6MkjZRZv3aez3r18pB1RBFJR1kwUVJ5jHt92JmQwXbd5hwi"
KEYS = {SIGNED["proof"]["verificationMethod"]: PUBLIC}
DOCUMENT_HASH = "87f65a76d40146205e3b3e06cb0fbd153f97f9ce70372390f52566bb7f9e0773"
PROOF_HASH = "d34009cea0dbc1ca941e09dc01c8c9d3e3ce3c5b853f67ee44698dcea10f5d19"
SIGNATURE = (
    "f7a017acf7d27983267ec362657c0fb08e955549f49dac5bf36a03c4f2c3a4f1"
    "e3738a6c5ecd7ffba7135cb9cd754e6196f4b73082ea8df8e703c8ecd4333503"
)


def unsigned() -> dict[str, Any]:
    return {name: part for name, part in SIGNED.items() if name != "proof"}


class TestPublishedVector:
    """The Open Badges 3.0 Implementation Guide."""

    def test_hashes_are_those_printed(self) -> None:
        """Proof hash, then document hash: the 64 bytes to sign."""
        options = {name: part for name, part in SIGNED["proof"].items() if name != "proofValue"}
        assert code.digest(unsigned(), options).hex() == PROOF_HASH + DOCUMENT_HASH

    def test_the_canonical_form_is_that_printed(self) -> None:
        """The first and the last line, and their number, as in 'Document normalized'."""
        lines = code.canonical(unsigned()).decode().splitlines()
        assert len(lines) == 16
        assert lines[1] == (
            "<did:example:ebfeb1f712ebc6f1c276e12ec21> <https://purl.imsglobal.org/spec/vc/ob/vocab.html#achievement> "
            "<https://example.com/achievements/21st-century-skills/teamwork> ."
        )
        assert lines[-1].startswith("_:c14n0 <https://purl.imsglobal.org/spec/vc/ob/vocab.html#narrative> ")

    def test_the_proof_is_that_printed(self) -> None:
        """Signed anew, every letter of the document is the same."""
        key = Ed25519PrivateKey.from_private_bytes(SECRET)
        proof = SIGNED["proof"]
        made = code.sign(unsigned(), key=key, method=proof["verificationMethod"], created=proof["created"])
        assert made == SIGNED
        assert code.from_base58(made["proof"]["proofValue"][1:]).hex() == SIGNATURE

    def test_the_key_is_that_printed(self) -> None:
        """As a Multikey."""
        assert code.multikey(PUBLIC) == MULTIKEY

    def test_it_verifies_and_holds_what_it_must(self) -> None:
        """Read as anybody would read it."""
        code.verify(SIGNED, KEYS)
        assert rules.lacking(SIGNED) == ()

    @pytest.mark.parametrize(
        "change",
        [
            {"validFrom": "2010-01-02T00:00:00Z"},
            {"validUntil": "2099-01-01T00:00:00Z"},
            {"name": "Teamwork badge"},
            {"issuer": SIGNED["issuer"] | {"name": "Example Corp."}},
        ],
    )
    def test_a_changed_one_does_not(self, change: dict[str, Any]) -> None:
        """A later day, an added last day, one letter."""
        with pytest.raises(code.ProofRefused, match="does not fit"):
            code.verify(SIGNED | change, KEYS)


class TestSpecification:
    """W3C Data Integrity EdDSA Cryptosuites 1.0, B.1; the context of examples that it uses is set beside ours."""

    DOCUMENT = {  # noqa: RUF012
        "@context": ["https://www.w3.org/ns/credentials/v2", "https://www.w3.org/ns/credentials/examples/v2"],
        "id": "urn:uuid:58172aac-d8ba-11ed-83dd-0b3aef56cc33",
        "type": ["VerifiableCredential", "AlumniCredential"],
        "name": "Alumni Credential",
        "description": "A minimum viable example of an Alumni Credential.",
        "issuer": "https://vc.example/issuers/5678",
        "validFrom": "2023-01-01T00:00:00Z",
        "credentialSubject": {"id": "did:example:abcdefgh", "alumniOf": "The School of Examples"},
    }
    OPTIONS = {  # noqa: RUF012
        "type": "DataIntegrityProof",
        "cryptosuite": "eddsa-rdfc-2022",
        "created": "2023-02-24T23:36:38Z",
        "verificationMethod": "https://vc.example/issuers/5678#z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2",
        "proofPurpose": "assertionMethod",
    }
    HASHES = (
        "4c4d3890a157f8d611b13c265c2c22f39aa0a567c7c7dd9ba3e45cd579784eeb"
        "517744132ae165a5349155bef0bb0cf2258fff99dfe1dbd914b938d775a36017"
    )

    def test_hashes_are_those_printed(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Proof hash and document hash of the specification."""
        examples = {"@context": {"@vocab": "https://www.w3.org/ns/credentials/examples#"}}
        ours = code.held

        def with_examples(url: str, options: object = None) -> dict[str, Any]:
            if url.endswith("/examples/v2"):
                return {"contextUrl": None, "documentUrl": url, "document": examples}
            return ours(url)

        monkeypatch.setattr(code, "held", with_examples)
        assert code.digest(self.DOCUMENT, self.OPTIONS).hex() == self.HASHES


class TestBase58:
    @pytest.mark.parametrize(
        ("data", "text"),
        [
            (b"Hello World!", "2NEpo7TZRRrLZSi2U"),
            (
                b"The quick brown fox jumps over the lazy dog.",
                "USm3fpXnKG5EUBx2ndxBDMPVciP5hGey2Jh4NDv6gmeo1LkMeiKrLJUUBk6Z",
            ),
            (bytes.fromhex("0000287fb4cd"), "11233QC4"),
        ],
    )
    def test_vectors(self, data: bytes, text: str) -> None:
        """The three of draft-msporny-base58-03."""
        assert code.base58(data) == text
        assert code.from_base58(text) == data
