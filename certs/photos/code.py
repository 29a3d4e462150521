"""The bytes of a photo: what is received is drawn anew, so that nothing but the picture stays.

Place, owner of the phone and anything hidden behind the picture go with the old bytes.
"""

from collections.abc import Callable
from io import BytesIO

from PIL import Image, ImageFile, ImageOps

from certs.photos.rules import (
    LONGEST_SIDE,
    MOST_BYTES,
    MOST_PIXELS,
    PORTRAIT,
    PORTRAIT_BYTES,
    PORTRAIT_QUALITIES,
    QUALITY,
    Fault,
)

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
    return _made(raw, _drawn)


def portrait(raw: bytes) -> bytes:
    """Return the picture cut to the shape of the photo of a card, as small as print needs. Raises NotAPhoto.

    What is cut off goes at both sides alike, and below more than above: heads stand in the upper half of a photo.
    """
    return _made(raw, _fitted)


def _made(raw: bytes, draw: Callable[[Image.Image], bytes]) -> bytes:
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
        return draw(picture)
    except NotAPhoto:
        raise
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
    upright = _upright(picture, LONGEST_SIDE)
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    return _written(_on_white(upright), QUALITY)


def _fitted(picture: Image.Image) -> bytes:
    across, down = PORTRAIT
    # Twice as fine as needed, so that what is left of it is still sharp.
    upright = _upright(picture, 2 * down)
    if upright.width < across or upright.height < down:
        raise NotAPhoto(Fault.TOO_SMALL)
    fitted = ImageOps.fit(_on_white(upright), PORTRAIT, Image.Resampling.LANCZOS, centering=(0.5, 0.4))
    for quality in PORTRAIT_QUALITIES:
        made = _written(fitted, quality)
        if len(made) <= PORTRAIT_BYTES:
            break
    return made


def _upright(picture: Image.Image, side: int) -> Image.Image:
    """Unpack a large JPEG at a fraction of its size where both its sides stay as long as that, and turn it."""
    picture.draft("RGB", (side, side))
    return ImageOps.exif_transpose(picture)


def _on_white(picture: Image.Image) -> Image.Image:
    clean = Image.new("RGB", picture.size, "white")
    shown = picture.convert("RGBA")
    clean.paste(shown, mask=shown.getchannel("A"))
    return clean


def _written(picture: Image.Image, quality: int) -> bytes:
    made = BytesIO()
    picture.save(made, "JPEG", quality=quality, optimize=True)
    return made.getvalue()
