"""Bytes that come as a photo: the picture stays, everything else goes, and what is no photo is refused."""

from io import BytesIO

import pytest
from PIL import Image, ImageFile

from certs.photos import code, rules
from certs.photos.code import NotAPhoto
from certs.photos.models import FAULT_WORDS
from certs.photos.rules import Fault
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
