"""The signed lists by a plain reading of their standards, damaged in many ways, and read back from paper."""

import io
import random
import time
import zlib
from collections.abc import Callable
from dataclasses import replace

import cbor2
import pypdf
import pypdfium2
import pytest
import zxingcpp
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from certs.cards.code import CodeRefused, key_id, seal, unseal
from certs.checking import code, pdf
from certs.checking.models import StatusList
from tests.certs.checking.signing import (
    CARD,
    KEY,
    KEYS,
    MADE,
    OTHER,
    ROOT,
    STATUSES,
    public,
    raw,
    text_of,
)

KNOWN = {key_id(public(key)): public(key) for key in (KEY, OTHER)}
READERS: dict[str, tuple[str, Callable[[str], object]]] = {
    "card": (seal(CARD, KEY), lambda text: unseal(text, KNOWN)),
    "keys": (code.seal_keys(KEYS, ROOT), lambda text: code.unseal_keys(text, public(ROOT))),
    "cards": (code.seal_statuses(STATUSES, KEY), lambda text: code.unseal_statuses(text, KNOWN)),
}


class TestByTheStandards:
    @pytest.mark.parametrize(
        ("kind", "key", "purpose"), [("keys", ROOT, b"list of keys"), ("cards", KEY, b"list of cards")]
    )
    def test_a_list_is_a_cose_sign1(self, kind: str, key: object, purpose: bytes) -> None:
        """RFC 9052, 4.2 and 4.4: tag 18, four parts, Sig_structure with external data; RFC 9864: -19 is Ed25519."""
        message = cbor2.loads(raw(READERS[kind][0]))
        protected, unprotected, payload, signature = message.value
        signer = public(KEY if kind == "cards" else ROOT)
        assert message.tag == 18
        assert cbor2.loads(protected) == {1: -19, 4: key_id(signer)}
        assert unprotected == {}
        signed = cbor2.dumps(["Signature1", protected, purpose, payload])
        Ed25519PublicKey.from_public_bytes(signer).verify(signature, signed)
        assert cbor2.dumps(cbor2.loads(payload), canonical=True) == payload

    def test_a_list_of_cards_is_raw_deflate_of_two_bits(self) -> None:
        """RFC 1951 without the wrapping of RFC 1950: four cards a byte, the first in the lowest bits."""
        packed = cbor2.loads(cbor2.loads(raw(READERS["cards"][0])).value[2])[5]
        # 0 1 2 3 is 0b11100100, and 0 0 1 is 0b00010000.
        assert zlib.decompress(packed, wbits=-15) == bytes([0b11100100, 0b00010000])

    def test_ten_thousand_cards_fit_a_code(self) -> None:
        """500 bytes for 10,000 cards of which 200 are stopped."""
        statuses = bytearray(10_000)
        for place in random.Random(1).sample(range(10_000), 200):
            statuses[place] = 1 + place % 3
        text = code.seal_statuses(replace(STATUSES, statuses=bytes(statuses)), KEY)
        assert len(raw(text)) < 500
        assert code.unseal_statuses(text, KNOWN).statuses == bytes(statuses)


class TestDamage:
    @pytest.mark.parametrize("kind", list(READERS))
    def test_is_always_refused_and_never_raises_otherwise(self, kind: str) -> None:
        """50,000 random corruptions in all, of bits, bytes and lengths, in bounded time."""
        text, read = READERS[kind]
        content, dice = raw(text), random.Random(kind)
        began = time.perf_counter()
        for _time in range(16_700):
            damaged = bytearray(content)
            for _hit in range(dice.randint(1, 4)):
                place = dice.randrange(len(damaged))
                act = dice.randrange(4)
                if act == 0:
                    damaged[place] ^= 1 << dice.randrange(8)
                elif act == 1:
                    damaged[place] = dice.randrange(256)
                elif act == 2:
                    damaged[place:place] = dice.randbytes(dice.randint(1, 9))
                else:
                    del damaged[place : place + dice.randint(1, 9)]
            if bytes(damaged) != content:
                with pytest.raises(CodeRefused):
                    read(text_of(bytes(damaged)))
        assert time.perf_counter() - began < 120

    @pytest.mark.parametrize("kind", list(READERS))
    def test_refuses_every_flipped_bit(self, kind: str) -> None:
        """One at a time."""
        text, read = READERS[kind]
        content = raw(text)
        for bit in range(len(content) * 8):
            flipped = bytearray(content)
            flipped[bit // 8] ^= 1 << bit % 8
            with pytest.raises(CodeRefused):
                read(text_of(bytes(flipped)))

    def test_a_bomb_is_not_unpacked(self) -> None:
        """Ten thousand bytes that unpack to ten million are refused without the memory for them."""
        packer = zlib.compressobj(9, wbits=-15)
        bomb = packer.compress(bytes(10_000_000)) + packer.flush()
        with pytest.raises(CodeRefused):
            code._inflate(bomb, 1)
        assert code._inflate(bomb, 10_000_000) == bytes(10_000_000)


class TestSheet:
    def test_is_read_from_a_picture_of_the_paper(self) -> None:
        """A4 (ISO 216), one page; rasterised by PDFium at 100 dpi, read by ZXing, opened with the public key alone."""
        listed = StatusList(
            sequence=9, made_at=MADE, good_until=STATUSES.good_until, message=code.seal_statuses(STATUSES, KEY)
        )
        made = pdf.sheet(listed)
        (page,) = pypdf.PdfReader(io.BytesIO(made)).pages
        assert (round(float(page.mediabox.width)), round(float(page.mediabox.height))) == (595, 842)
        assert "List number 9" in page.extract_text()
        picture = pypdfium2.PdfDocument(made)[0].render(scale=100 / 72).to_pil().convert("L")
        (found,) = zxingcpp.read_barcodes(picture)
        address, _sign, text = found.text.partition("#cards=")
        assert address == "https://cards.example.org/check"
        assert code.unseal_statuses(text, KNOWN) == STATUSES

    def test_refuses_a_list_too_long_for_a_code(self) -> None:
        """With a sentence; phones fetch it."""
        for size in (1_600, 3_000):
            with pytest.raises(pdf.TooLong, match="Phones fetch it"):
                pdf.sheet(StatusList(sequence=9, made_at=MADE, good_until=MADE, message="A" * size))
