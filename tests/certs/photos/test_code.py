"""Bytes that come as a photo: the picture stays, everything else goes, and what is no photo is refused."""

from io import BytesIO

import pytest
from PIL import Image, ImageDraw, ImageFile

from certs.photos import code, rules
from certs.photos.code import NotAPhoto
from certs.photos.models import FAULT_WORDS
from certs.photos.rules import Fault
from certs.portraits.rules import MOST_BYTES
from tests.certs.photos import pictures


def opened(raw: bytes) -> Image.Image:
    return Image.open(BytesIO(raw))


def colour(pixel: tuple[int, ...]) -> str:
    """Name a colour that has gone through JPEG."""
    return {(True, False, False): "red", (False, False, True): "blue"}[tuple(part > 128 for part in pixel)]


def fault(raw: bytes) -> Fault:
    with pytest.raises(NotAPhoto) as refused:
        code.anew(raw)
    return refused.value.fault


class TestAnew:
    def test_loses_place_maker_and_comment(self) -> None:
        """Nothing of EXIF, GPS or a comment is in the new bytes."""
        raw = pictures.located()
        assert opened(raw).getexif().get_ifd(0x8825)  # it was there
        made = code.anew(raw)
        shown = opened(made)
        assert not shown.getexif() and "exif" not in shown.info and "comment" not in shown.info
        for hidden in (b"Maker", b"GPS", b"Exif", b"who took it"):
            assert hidden not in made

    def test_stands_upright(self) -> None:
        """Turned as EXIF orientation 6 says: a quarter clockwise, so that left becomes top."""
        shown = opened(code.anew(pictures.located())).convert("RGB")
        assert shown.size == (32, 64)
        assert [colour(shown.getpixel((16, down))) for down in (8, 56)] == ["red", "blue"]

    @pytest.mark.parametrize(
        "tail", [b"<?php system($_GET['c']); ?>", b"PK\x03\x04 a whole archive", b"<script>x</script>"]
    )
    def test_loses_what_is_hidden_behind_the_picture(self, tail: bytes) -> None:
        """A file that is two things at once comes out as one."""
        assert tail not in code.anew(pictures.jpeg() + tail)

    def test_is_no_larger_than_the_eye_needs(self) -> None:
        """The longest side is bounded, the proportions stay, a small one is not blown up."""
        assert opened(code.anew(pictures.jpeg((4000, 3000)))).size == (1600, 1200)
        assert opened(code.anew(pictures.jpeg((40, 30)))).size == (40, 30)

    @pytest.mark.parametrize("kind", ["PNG", "WEBP"])
    def test_takes_other_still_pictures(self, kind: str) -> None:
        """See-through becomes white, as on paper."""
        made = opened(code.anew(pictures.written(Image.new("RGBA", (20, 10), (0, 0, 0, 0)), kind)))
        assert made.format == "JPEG"
        assert made.getpixel((5, 5)) == (255, 255, 255)

    def test_takes_the_first_view_of_several(self) -> None:
        """Phones write a second view behind the photo (CIPA DC-007, multi-picture format)."""
        views = [Image.new("RGB", (20, 10), colour) for colour in ("red", "blue")]
        raw = pictures.written(views[0], "MPO", save_all=True, append_images=views[1:])
        assert opened(raw).n_frames == 2
        assert colour(opened(code.anew(raw)).getpixel((5, 5))) == "red"


class TestPortrait:
    @pytest.mark.parametrize("size", [(720, 926), (4000, 3000), (3000, 4000), (269, 346), (346, 346)])
    def test_has_the_shape_of_the_place_on_the_card(self, size: tuple[int, int]) -> None:
        """17.0 mm by 21.9 mm in card.css, and 35 by 45 as in a passport (ICAO Doc 9303-3, from memory)."""
        shown = opened(code.portrait(pictures.jpeg(size)))
        assert shown.size == rules.PORTRAIT
        assert shown.width / shown.height == pytest.approx(17.0 / 21.9, rel=0.005)
        assert shown.width / shown.height == pytest.approx(35 / 45, rel=0.005)

    def test_loses_place_maker_and_comment(self) -> None:
        """As any photo; it is turned upright first, so that left becomes top."""
        made = code.portrait(pictures.located((900, 600)))
        shown = opened(made)
        assert not shown.getexif() and "exif" not in shown.info and "comment" not in shown.info
        for hidden in (b"Maker", b"GPS", b"Exif", b"who took it"):
            assert hidden not in made
        assert [colour(shown.getpixel((134, down))) for down in (20, 320)] == ["red", "blue"]

    def test_is_cut_and_not_squeezed(self) -> None:
        """A circle in a wide photo is a circle on the card, measured across and down."""
        wide = Image.new("RGB", (1600, 900), "white")
        ImageDraw.Draw(wide).ellipse((700, 260, 900, 460), fill="black")
        dark = opened(code.portrait(pictures.written(wide, "JPEG"))).convert("L").point(lambda p: 255 * (p < 128))
        left, top, right, bottom = dark.getbbox()
        assert right - left == pytest.approx(bottom - top, abs=2)

    def test_is_small_whatever_is_on_it(self) -> None:
        """About 11 kB were measured to be cheap in print; a photo of leaves takes the coarser steps."""
        leaves = Image.effect_noise((1200, 1600), 60).convert("RGB")
        assert len(code.portrait(pictures.written(leaves, "JPEG"))) <= rules.PORTRAIT_BYTES
        noise = Image.effect_noise(rules.PORTRAIT, 250).convert("RGB")
        assert len(code.portrait(pictures.written(noise, "PNG"))) <= MOST_BYTES

    @pytest.mark.parametrize("size", [(268, 400), (400, 345), (40, 30)])
    def test_is_refused_when_it_would_be_blown_up(self, size: tuple[int, int]) -> None:
        """With its own sentence."""
        with pytest.raises(NotAPhoto) as refused:
            code.portrait(pictures.jpeg(size))
        assert refused.value.fault is Fault.TOO_SMALL
        assert all(str(side) in str(FAULT_WORDS[Fault.TOO_SMALL]) for side in rules.PORTRAIT)

    @pytest.mark.parametrize(
        ("raw", "why"),
        [
            (b"<svg/>", Fault.NOT_A_PHOTO),
            (b"\xff\xd8\xff" + b"\0" * rules.MOST_BYTES, Fault.TOO_LONG),
            (pictures.png_of(30_000, 30_000), Fault.TOO_MANY_PIXELS),
            (pictures.jpeg((900, 900))[:3000], Fault.BROKEN),
        ],
    )
    def test_is_refused_as_any_photo_is(self, raw: bytes, why: Fault) -> None:
        """By the same rules."""
        with pytest.raises(NotAPhoto) as refused:
            code.portrait(raw)
        assert refused.value.fault is why


class TestRefused:
    @pytest.mark.parametrize(
        ("raw", "why"),
        [
            (b"", Fault.EMPTY),
            (b"\xff\xd8\xff" + b"\0" * rules.MOST_BYTES, Fault.TOO_LONG),
            (b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", Fault.NOT_A_PHOTO),
            (b"<!doctype html><script>alert(1)</script>", Fault.NOT_A_PHOTO),
            (b"%PDF-1.7\n1 0 obj", Fault.NOT_A_PHOTO),
            (b"GIF89a" + b"\0" * 40, Fault.NOT_A_PHOTO),
            (b"\xff\xd8\xff\xe0", Fault.NOT_A_PHOTO),
            (pictures.written(Image.new("RGB", (8, 8)), "GIF"), Fault.NOT_A_PHOTO),
            (pictures.written(Image.new("RGB", (8, 8)), "BMP"), Fault.NOT_A_PHOTO),
            (pictures.written(Image.new("RGB", (8, 8)), "TIFF"), Fault.NOT_A_PHOTO),
            (pictures.animated("PNG"), Fault.MOVES),
            (pictures.animated("WEBP"), Fault.MOVES),
            (pictures.jpeg((400, 300))[:2000], Fault.BROKEN),
            (pictures.png_of(300, 300), Fault.BROKEN),
            (pictures.png_of(8000, 8000), Fault.TOO_MANY_PIXELS),  # 64 million
            (pictures.png_of(10_000, 10_000), Fault.TOO_MANY_PIXELS),  # 100 million: the library warns
            (pictures.png_of(30_000, 30_000), Fault.TOO_MANY_PIXELS),  # 900 million: it refuses
        ],
    )
    def test_says_why(self, raw: bytes, why: Fault) -> None:
        """A sentence can be told from each."""
        assert fault(raw) is why

    def test_is_a_comment_that_unpacks_without_end(self) -> None:
        """Small on the way, large in memory: the library's own limit holds."""
        raw = pictures.text_bomb()
        assert len(raw) < 100_000
        assert fault(raw) in {Fault.NOT_A_PHOTO, Fault.BROKEN}

    def test_is_half_a_photo_whatever_another_library_allows(self) -> None:
        """Importing what prints PDF lets the whole process take files that are cut off."""
        ImageFile.LOAD_TRUNCATED_IMAGES = True
        assert fault(pictures.jpeg((400, 300))[:2000]) is Fault.BROKEN

    def test_every_fault_has_its_sentence(self) -> None:
        """So that nobody is told 'bad file'."""
        assert set(FAULT_WORDS) == set(Fault)
