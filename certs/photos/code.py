"""The bytes of a photo: what is received is drawn anew, so that nothing but the picture stays.

Place, owner of the phone and anything hidden behind the picture go with the old bytes.
"""

from io import BytesIO

from PIL import Image, ImageFile, ImageOps

from certs.photos.rules import LONGEST_SIDE, MOST_BYTES, MOST_PIXELS, QUALITY, Fault

# MPO is a JPEG with further views behind it, as many phones write it; the first view is the photo.
FORMATS = ("JPEG", "PNG", "WEBP")
STILL = {"JPEG", "MPO"}


class NotAPhoto(ValueError):
    """The bytes are not taken; `fault` says why."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault
        super().__init__(fault.value)


def anew(raw: bytes) -> bytes:
    """Return the picture as a new upright JPEG without any data about it. Raises NotAPhoto."""
    if not raw:
        raise NotAPhoto(Fault.EMPTY)
    if len(raw) > MOST_BYTES:
        raise NotAPhoto(Fault.TOO_LONG)
    picture = _opened(raw)
    if picture.width * picture.height > MOST_PIXELS:
        raise NotAPhoto(Fault.TOO_MANY_PIXELS)
    if picture.format not in STILL and getattr(picture, "n_frames", 1) > 1:
        raise NotAPhoto(Fault.MOVES)
    # A library that prints turns this on for the whole process as it is imported; half a photo is no evidence.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        return _drawn(picture)
    except Exception:  # a decoder may raise anything over bytes made to break it
        raise NotAPhoto(Fault.BROKEN) from None


def _opened(raw: bytes) -> Image.Image:
    """Read the head only: nothing is unpacked before its size is known."""
    try:
        return Image.open(BytesIO(raw), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise NotAPhoto(Fault.TOO_MANY_PIXELS) from None
    except Exception:  # see above
        raise NotAPhoto(Fault.NOT_A_PHOTO) from None


def _drawn(picture: Image.Image) -> bytes:
    # Unpacks a large JPEG at a fraction of its size where that is enough.
    picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
    upright = ImageOps.exif_transpose(picture)
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    clean = Image.new("RGB", upright.size, "white")
    shown = upright.convert("RGBA")
    clean.paste(shown, mask=shown.getchannel("A"))
    made = BytesIO()
    clean.save(made, "JPEG", quality=QUALITY, optimize=True)
    return made.getvalue()
