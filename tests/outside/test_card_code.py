"""The code of a card against published vectors, and the printed card read back by other software."""

import base64
import io
import logging
import random
from dataclasses import replace
from datetime import date

import cbor2
import pypdf
import pypdfium2
import pytest
import zxingcpp
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from certs.cards import code, pdf
from certs.cards.code import CardCode, CodeRefused, Unsealed
from certs.cards.models import CardKey
from certs.cards.pdf import face as laying
from certs.cards.queries import CardFace, keys
from certs.cards.rules import Standing

# RFC 8037, appendix A.1: the key pair of RFC 8032, 7.1, test 1 (from memory).
PRIVATE = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
PUBLIC = bytes.fromhex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a")
KEY = Ed25519PrivateKey.from_private_bytes(PRIVATE)
KEYS = {code.key_id(PUBLIC): PUBLIC}
CARD = CardCode(
    name="Zoë Łukasz",
    number="FB-2345-6789",
    scheme="bonds/1",
    valid_from=date(2026, 11, 25),
    last_day=date(2029, 11, 24),
    confirm_by=date(2027, 5, 25),
    issued_on=date(2026, 11, 25),
    place=7,
)
TEXT = code.seal(CARD, KEY)


def raw(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def text_of(content: bytes) -> str:
    return base64.urlsafe_b64encode(content).rstrip(b"=").decode()


def signed(payload: bytes, protected: bytes | None = None, unprotected: object = None) -> str:
    """Sign any payload as COSE_Sign1 (RFC 9052, 4.2 and 4.4), built here apart from the code under test."""
    head = protected if protected is not None else cbor2.dumps({1: -19, 4: code.key_id(PUBLIC)})
    signature = KEY.sign(cbor2.dumps(["Signature1", head, b"", payload]))
    return text_of(cbor2.dumps(cbor2.CBORTag(18, [head, unprotected or {}, payload, signature])))


class TestVectors:
    """The parts do what their standards print."""

    def test_ed25519_signs_as_rfc_8037_says(self) -> None:
        """RFC 8037, A.4: the signature over its example (from memory)."""
        message = b"eyJhbGciOiJFZERTQSJ9.RXhhbXBsZSBvZiBFZDI1NTE5IHNpZ25pbmc"
        expected = "hgyY0il_MGCjP0JzlnLWG1PPOt7-09PGcvMg3AIbQR6dWbhijcNR4ki4iylGjg5BhVsPt9g7sVvpAr_MuM0KAg"
        assert KEY.public_key().public_bytes_raw() == PUBLIC
        assert text_of(KEY.sign(message)) == expected

    @pytest.mark.parametrize(
        ("value", "expected"),
        [
            (23, "17"),
            (24, "1818"),
            (1000, "1903e8"),
            (-20, "33"),
            ({1: 2, 3: 4}, "a201020304"),
            (b"\x01\x02\x03\x04", "4401020304"),
            ("ü", "62c3bc"),
        ],
    )
    def test_cbor_is_the_shortest_as_rfc_8949_prints(self, value: object, expected: str) -> None:
        """RFC 8949, appendix A (from memory)."""
        assert cbor2.dumps(value).hex() == expected

    def test_a_code_is_a_cose_sign1_of_fixed_shape(self) -> None:
        """RFC 9052: tag 18, [protected, {}, payload, signature]; algorithm -19 of RFC 9864; map keys 0 to 8."""
        message = cbor2.loads(raw(TEXT))
        assert message.tag == 18
        protected, unprotected, payload, signature = message.value
        assert cbor2.loads(protected) == {1: -19, 4: code.key_id(PUBLIC)}
        assert unprotected == {}
        assert len(signature) == 64
        facts = cbor2.loads(payload)
        assert facts[4] == (date(2026, 11, 25) - date(1970, 1, 1)).days
        # RFC 8949, 4.2.1: encoding again, canonically, changes nothing.
        assert cbor2.dumps(facts, canonical=True) == payload
        assert list(facts) == list(range(9))

    def test_a_message_built_by_another_hand_opens(self) -> None:
        """The same bytes from a plain reading of RFC 9052."""
        assert signed(cbor2.loads(raw(TEXT)).value[2]) == TEXT


class TestUnseal:
    """Nothing but what was signed comes through, and nothing raises anything but CodeRefused."""

    def test_gives_back_what_was_sealed(self) -> None:
        """Also inside a pasted address with line breaks."""
        assert code.unseal(TEXT, KEYS) == Unsealed(CARD, code.key_id(PUBLIC))
        assert code.fragment(f" https://cards.example.org/check#{TEXT[:50]}\n{TEXT[50:]} ") == TEXT
        assert code.fragment(TEXT) == TEXT

    def test_refuses_every_single_bit_flip(self) -> None:
        """Each bit of the message, one at a time."""
        content = raw(TEXT)
        for place in range(len(content) * 8):
            flipped = bytearray(content)
            flipped[place // 8] ^= 1 << place % 8
            with pytest.raises(CodeRefused):
                code.unseal(text_of(bytes(flipped)), KEYS)

    @given(st.data())
    @settings(max_examples=300)
    def test_refuses_random_damage(self, data: st.DataObject) -> None:
        """Cut, doubled, overwritten."""
        start, end = sorted(data.draw(st.tuples(st.integers(0, len(TEXT)), st.integers(0, len(TEXT)))))
        damaged = TEXT[:start] + data.draw(st.text(max_size=20)) + TEXT[end:]
        if damaged != TEXT:
            with pytest.raises(CodeRefused):
                code.unseal(damaged, KEYS)

    def test_refuses_fifty_thousand_corruptions(self) -> None:
        """Up to eight bytes of the message overwritten, or its end cut off; drawn from a fixed seed."""
        content, stream = raw(TEXT), random.Random(14289)
        refused = 0
        for _at in range(50_000):
            damaged = bytearray(content[: stream.choice((len(content), stream.randrange(len(content))))])
            for _byte in range(stream.randint(1, 8)):
                if damaged:
                    damaged[stream.randrange(len(damaged))] = stream.randrange(256)
            if bytes(damaged) == content:
                continue
            with pytest.raises(CodeRefused):
                code.unseal(text_of(bytes(damaged)), KEYS)
            refused += 1
        assert refused > 49_000

    @given(st.binary(max_size=400))
    def test_refuses_random_bytes(self, content: bytes) -> None:
        """Bytes that were never a code."""
        with pytest.raises(CodeRefused):
            code.unseal(text_of(content), KEYS)

    @given(st.binary(min_size=24, max_size=200))
    def test_refuses_signed_nonsense(self, payload: bytes) -> None:
        """Our key used for something else must not pass for a card."""
        with pytest.raises(CodeRefused):
            code.unseal(signed(payload), KEYS)

    @pytest.mark.parametrize(
        "facts",
        [
            {**dict(enumerate([2, "name of a person", "FB-2345-6789", "bonds/1", 1, 2, 3, 4, True]))},
            {**dict(enumerate([2, "name of a person", "FB-2345-6789", "bonds/1", 1, 2, 3, 4.0, 5]))},
            {**dict(enumerate([1, "name of a person", "FB-2345-6789", "bonds/1", 1, 2, 3, 4, 5]))},
            {**dict(enumerate([2, "name of a person", "FB-2345-6789", "bonds/1", 1, 2, 3, 10**9, 5]))},
            {**dict(enumerate([2, "name of a person", "FB-2345-6789", "bonds/1", 1, 2, 3, 10**17, 5]))},
            {**dict(enumerate([2, "name of a person", "FB-2345-6789", "bonds/1", 1, 2, 3, 4, 5])), 9: 5},
            {**dict(enumerate([2, "name of a person", "FB-2345-6789", "bonds/1", 1, 2, 3, 4, -1]))},
            dict(enumerate([2, "name of a person", "FB-2345-6789", "bonds/1", 1, 2, 3, 4, 5], start=1)),
            [2, "name of a person", "FB-2345-6789", "bonds/1", 1, 2, 3, 4, 5],
        ],
    )
    def test_refuses_signed_facts_of_another_shape(self, facts: object) -> None:
        """Types and keys are exact: true is not 1, 4.0 is not 4."""
        with pytest.raises(CodeRefused):
            code.unseal(signed(cbor2.dumps(facts)), KEYS)

    def test_refuses_another_order_or_a_longer_spelling(self) -> None:
        """Deterministic CBOR has one spelling: RFC 8949, 4.2.1."""
        facts = cbor2.loads(cbor2.loads(raw(TEXT)).value[2])
        backwards = dict(reversed(facts.items()))
        with pytest.raises(CodeRefused):
            code.unseal(signed(cbor2.dumps(backwards)), KEYS)
        spelled_long = cbor2.dumps(facts).replace(b"\xa9\x00\x02", b"\xa9\x00\x18\x02", 1)
        assert cbor2.loads(spelled_long) == facts
        with pytest.raises(CodeRefused):
            code.unseal(signed(spelled_long), KEYS)

    @pytest.mark.parametrize("algorithm", [-8, -7, 0, None])
    def test_refuses_another_algorithm(self, algorithm: int | None) -> None:
        """Nothing about the algorithm is negotiable, 'none' least of all."""
        payload = cbor2.loads(raw(TEXT)).value[2]
        with pytest.raises(CodeRefused):
            code.unseal(signed(payload, cbor2.dumps({1: algorithm, 4: code.key_id(PUBLIC)})), KEYS)

    def test_refuses_an_unprotected_header(self) -> None:
        """What is not under the signature must be empty."""
        with pytest.raises(CodeRefused):
            code.unseal(signed(cbor2.loads(raw(TEXT)).value[2], unprotected={4: b"abcd"}), KEYS)

    def test_refuses_an_unknown_key_and_a_wrong_one(self) -> None:
        """Neither no key nor somebody else's opens a code."""
        other = Ed25519PrivateKey.from_private_bytes(bytes(32)).public_key().public_bytes_raw()
        for known in ({}, {code.key_id(other): other}, {code.key_id(PUBLIC): other}):
            with pytest.raises(CodeRefused):
                code.unseal(TEXT, known)

    def test_refuses_other_spellings_of_base64(self) -> None:
        """Padding, free bits in the last character, and the other alphabet."""
        odd = next(text for size in range(3) if len(text := code.seal(replace(CARD, name="N" * (9 + size)), KEY)) % 4)
        last = base64.urlsafe_b64encode(bytes(range(256))).decode()
        spellings = {odd + "=" * (-len(odd) % 4), *(odd[:-1] + letter for letter in set(last)), odd + "A", f"{odd} "}
        for spelling in spellings - {odd}:
            with pytest.raises(CodeRefused):
                code.unseal(spelling, KEYS)

    def test_refuses_what_is_too_long_before_reading_it(self) -> None:
        """A page can be sent anything."""
        with pytest.raises(CodeRefused):
            code.unseal("A" * 1_000_000, KEYS)

    def test_cannot_seal_a_name_that_is_too_long(self) -> None:
        """The payload's length fits one byte."""
        with pytest.raises(ValueError, match="too long"):
            code.seal(replace(CARD, name="N" * 230), KEY)


FACE = CardFace(
    number="FB-2345-6789",
    card_id=7,
    person_id=1,
    scheme_id=1,
    holder="Zoë Łukasz",
    employer="Northmoor Track",
    issuer="Certification body",
    scheme="Bonds by pin brazing",
    scheme_slug="bonds",
    issue=1,
    scope="Fixing copper bonds to running rails with an 8 mm pin from a battery-fed gun, in the open air.",
    language="en",
    limits="Only on spots that the railway's drawing shows. Pins of 8 mm. The railway's rules come first.",
    held_since=date(2026, 11, 25),
    valid_from=date(2026, 11, 25),
    last_day=date(2029, 11, 24),
    zone="Europe/London",
    confirmed_to=date(2027, 5, 25),
    renew_from=date(2029, 5, 24),
    renewal_open=False,
    issued_on=date(2026, 11, 25),
    asked_on=date(2026, 11, 25),
    standing=Standing.CURRENT,
    day=date(2029, 11, 24),
    reason="Good.",
    warning="",
    owed=(),
)


@pytest.fixture
def made(db: None, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture) -> bytes:
    """The card of FACE; a renderer that warns fails the test."""
    monkeypatch.setattr(keys, "signing_key", lambda *, on: (KEY, CardKey(signs_from=date(2026, 11, 25))))
    with caplog.at_level(logging.WARNING):
        printed = pdf.render(FACE)
    assert [record for record in caplog.records if record.name.startswith(("weasyprint", "fontTools"))] == []
    return printed


class TestPrintedCard:
    """What other software finds on the card."""

    def test_has_the_size_of_id_1_on_both_sides(self, made: bytes) -> None:
        """ISO/IEC 7810: ID-1 is 85.60 mm by 53.98 mm."""
        pages = pypdf.PdfReader(io.BytesIO(made)).pages
        sizes = [(float(page.mediabox.width), float(page.mediabox.height)) for page in pages]
        assert sizes == [pytest.approx((85.60 / 25.4 * 72, 53.98 / 25.4 * 72), abs=0.01)] * 2

    @pytest.mark.parametrize("dpi", [100, 150, 300])
    def test_is_read_and_verified_from_a_picture(self, made: bytes, dpi: int) -> None:
        """Rasterised by PDFium, read by ZXing, verified with the public key alone."""
        picture = pypdfium2.PdfDocument(made)[0].render(scale=dpi / 72).to_pil().convert("L")
        found = zxingcpp.read_barcodes(picture)
        assert [each.format for each in found] == [zxingcpp.BarcodeFormat.QRCode]
        address, _sharp, fragment = found[0].text.partition("#")
        assert address == "https://cards.example.org/check"
        assert code.unseal(fragment, KEYS).says.name == FACE.holder
        assert found[0].ec_level == "Q"

    def test_shows_every_fact_and_no_claim(self, made: bytes) -> None:
        """ISO/IEC 17024:2012, 9.4.8, asks for the facts; what nobody proved is not claimed."""
        reader = pypdf.PdfReader(io.BytesIO(made))
        front, back = (" ".join(page.extract_text().split()) for page in reader.pages)
        for fact in (FACE.holder, FACE.number, FACE.issuer, f"{FACE.scheme}, issue 1", FACE.scope, "25 Nov 2026"):
            assert fact in front
        for fact in ("24 Nov 2029", "25 May 2027", "Europe/London"):
            assert fact in front
        for fact in (FACE.limits, "Local codes", "licensed practice come first", "own scheme", "Property of"):
            assert fact in back
        for claim in ("ISO", "17024", "13585", "PDF/UA", "certified", "qualified"):
            assert claim not in front + back

    def test_says_who_and_what_it_is(self, made: bytes) -> None:
        """Language, title, author and tags, as ISO 14289-1 asks; conformance is not proved."""
        reader = pypdf.PdfReader(io.BytesIO(made))
        root = reader.trailer["/Root"]
        assert (root["/Lang"], root["/MarkInfo"]["/Marked"]) == ("en", True)
        assert reader.metadata is not None
        assert (reader.metadata.title, reader.metadata.author) == (f"Card {FACE.number}, {FACE.holder}", FACE.issuer)

    def test_has_no_type_below_six_points(self, made: bytes) -> None:
        """Common practice for cards, no source."""
        sizes: list[float] = []

        def visit(text: str, page: list[float], line: list[float], _font: object, size: float) -> None:
            if text.strip():
                sizes.append(abs(size * page[3] * line[3]))

        for page in pypdf.PdfReader(io.BytesIO(made)).pages:
            page.extract_text(visitor_text=visit)
        assert round(min(sizes), 2) >= 6

    def test_is_the_same_bytes_each_time(self, made: bytes) -> None:
        """A lost print is made again, not stored."""
        assert pdf.render(FACE) == made

    def test_code_is_26_mm_or_more_on_the_page(self, made: bytes) -> None:
        """Common practice for a phone held at arm's length, no source; both ways alike."""
        (image,) = [
            each for each in pypdfium2.PdfDocument(made)[0].get_objects() if isinstance(each, pypdfium2.PdfImage)
        ]
        left, bottom, right, top = (edge / 72 * 25.4 for edge in image.get_bounds())
        assert right - left == pytest.approx(top - bottom)
        assert right - left == pytest.approx(laying.CODE_SIDE, abs=0.01)
        assert right - left >= 26

    def test_code_keeps_four_modules_of_quiet_zone(self, made: bytes) -> None:
        """ISO/IEC 18004: four light modules on every side, then the finder pattern."""
        picture = Image.open(io.BytesIO(laying.code(FACE))).convert("L")
        dark = picture.point(lambda light: 255 - light).getbbox()
        assert dark == (4, 4, picture.width - 4, picture.height - 4)


def test_the_key_of_the_vector_is_not_on_record(db: None) -> None:
    """A published key must never verify a card."""
    assert not CardKey.objects.filter(public=PUBLIC.hex()).exists()
