"""COSE_Sign1 (RFC 9052, 4.2 to 4.4) by a library of other hands, and that library by published examples.

Source of the examples: cose-wg/Examples on GitHub, of the working group behind RFC 8152 and RFC 9052: the files
sign1-tests/sign-pass-01.json, sign1-tests/sign-pass-02.json and eddsa-examples/eddsa-sig-02.json.
"""

import base64

import cbor2
import pytest
from pycose.algorithms import CoseAlgorithm, EdDSA
from pycose.headers import KID, Algorithm
from pycose.keys import EC2Key, OKPKey
from pycose.messages import Sign1Message

from certs.cards.code import CodeRefused, key_id, seal, sign1, unseal
from certs.checking import code
from tests.certs.checking.signing import CARD, KEY, KEYS, ROOT, STATUSES, public, raw, text_of

CONTENT = b"This is the content."
P256 = EC2Key(
    crv="P_256",
    x=base64.urlsafe_b64decode("usWxHK2PmfnHKwXPS54m0kTcGJ90UiglWiGahtagnv8="),
    y=base64.urlsafe_b64decode("IBOL-C3BttVivg-lSreASjpkttcsz-1rb7btKLv8EX4="),
)
ED448 = OKPKey(
    crv="ED448",
    x=bytes.fromhex(
        "5fd7449b59b461fd2ce787ec616ad46a1da1342485a70e1f8a0ea75d80e96778edf124769b46c7061bd6783df1e50f6cd1fa1abeafe8256180"
    ),
)
# Name of the example, its key, its external data, the structure to be signed, the message.
EXAMPLES = [
    (
        "sign-pass-01",
        P256,
        "",
        "846A5369676E617475726531404054546869732069732074686520636F6E74656E742E",
        "D28441A0A201260442313154546869732069732074686520636F6E74656E742E5840EAE868ECC176883766C5DC5BA5B8DCA25DAB3C2E56A5"
        "51CE5705B793914348E11A02E5F0344BF2D4EE5C7FD75A68A9F5E0B3CC1F1FC1409C189566586FF9D610",
    ),
    (
        "sign-pass-02",
        P256,
        "11aa22bb33cc44dd55006699",
        "846A5369676E61747572653143A101264C11AA22BB33CC44DD5500669954546869732069732074686520636F6E74656E742E",
        "D28443A10126A10442313154546869732069732074686520636F6E74656E742E5840EAE868ECC176883766C5DC5BA5B8DCA25DAB3C2E56A5"
        "51CE5705B793914348E155388B10C4F1B59A6733EAB416870A945111A4B2FBDBEF33A77234B1DEFF2F9B",
    ),
    (
        "eddsa-sig-02",
        ED448,
        "",
        "846A5369676E61747572653143A101274054546869732069732074686520636F6E74656E742E",
        "D28443A10127A10445336434343854546869732069732074686520636F6E74656E742E5872988240A3A2F189BD486DE14AA77F54686C576A"
        "09F2E7ED9BAE910DF9139C2AC3BE7C27B7E10A20FA17C9D57D3510A2CF1F634BC0345AB9BE00849842171D1E9E98B2674C0E38BFCF6C557A"
        "1692B01B71015A47AC9F7748840CAD1DA80CBB5B349309FEBB912672B377C8B2072AF1598B3700",
    ),
]
# What is signed here: its text, the key, the purpose as external data.
OURS = {
    "card": (seal(CARD, KEY), KEY, b""),
    "list of keys": (code.seal_keys(KEYS, ROOT), ROOT, b"list of keys"),
    "list of cards": (code.seal_statuses(STATUSES, KEY), KEY, b"list of cards"),
}


@CoseAlgorithm.register_attribute()
class FullySpecified(EdDSA):  # type: ignore[misc]
    """-19, RFC 9864: EdDSA on Ed25519 and on nothing else; the library knows the older -8 only."""

    identifier = -19
    fullname = "ED25519"


def opened(message: bytes, key: EC2Key | OKPKey, external: bytes) -> Sign1Message:
    # The library's own `decode` expects lists under a tag, where the CBOR library of today gives what cannot change.
    tag, untagged = message[:1], message[1:]
    assert tag == bytes([0xC0 + Sign1Message.cbor_tag])
    found = Sign1Message.from_cose_obj(cbor2.loads(untagged), allow_unknown_attributes=True)
    found.key, found.external_aad = key, external
    return found


class TestPublishedExamples:
    """The library is right about these, so its word about ours counts."""

    @pytest.mark.parametrize(
        ("name", "key", "external", "signed", "message"), EXAMPLES, ids=[one[0] for one in EXAMPLES]
    )
    def test_verify_as_printed(self, name: str, key: EC2Key | OKPKey, external: str, signed: str, message: str) -> None:
        """The structure to be signed byte for byte, the content, the signature; one bit less and it fails."""
        found = opened(bytes.fromhex(message), key, bytes.fromhex(external))
        assert found._create_sig_structure() == bytes.fromhex(signed)
        assert (found.payload, found.verify_signature()) == (CONTENT, True)
        damaged = bytearray.fromhex(message)
        damaged[-1] ^= 1
        assert not opened(bytes(damaged), key, bytes.fromhex(external)).verify_signature()

    @pytest.mark.parametrize("example", EXAMPLES, ids=[one[0] for one in EXAMPLES])
    def test_are_no_card(self, example: tuple[str, object, str, str, str]) -> None:
        """Genuine messages of another make: an unprotected header, another algorithm."""
        with pytest.raises(CodeRefused):
            unseal(text_of(bytes.fromhex(example[4])), {key_id(public(KEY)): public(KEY)})


class TestOurs:
    @pytest.mark.parametrize("what", list(OURS))
    def test_are_verified_by_it(self, what: str) -> None:
        """With the purpose as external data, and with none other."""
        text, key, purpose = OURS[what]
        okp = OKPKey(crv="ED25519", x=public(key))
        found = opened(raw(text), okp, purpose)
        assert found.phdr == {Algorithm: FullySpecified, KID: key_id(public(key))}
        assert found.uhdr == {}
        assert found.verify_signature()
        assert not opened(raw(text), okp, purpose + b"s").verify_signature()

    @pytest.mark.parametrize("what", list(OURS))
    def test_are_what_it_makes(self, what: str) -> None:
        """From the same payload and key, bit for bit."""
        text, key, purpose = OURS[what]
        made = Sign1Message(
            phdr={Algorithm: FullySpecified, KID: key_id(public(key))},
            payload=opened(raw(text), OKPKey(crv="ED25519", x=public(key)), purpose).payload,
            external_aad=purpose,
            key=OKPKey(crv="ED25519", x=public(key), d=key.private_bytes_raw()),
        )
        assert text_of(made.encode()) == text

    def test_what_it_makes_opens_here(self) -> None:
        """A payload of its own."""
        payload = sign1.encode(["any"])
        made = Sign1Message(
            phdr={Algorithm: FullySpecified, KID: key_id(public(KEY))},
            payload=payload,
            external_aad=b"list of cards",
            key=OKPKey(crv="ED25519", x=public(KEY), d=KEY.private_bytes_raw()),
        )
        known = {key_id(public(KEY)): public(KEY)}
        found = sign1.unseal(text_of(made.encode()), known, purpose=b"list of cards", longest=1000)
        assert found.payload == payload
