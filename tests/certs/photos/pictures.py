"""Pictures made for tests, and files that are none."""

import struct
import zlib
from io import BytesIO
from typing import Any

from PIL import Image


def written(picture: Image.Image, kind: str, **options: Any) -> bytes:
    made = BytesIO()
    picture.save(made, kind, **options)
    return made.getvalue()


def jpeg(size: tuple[int, int] = (64, 48), **options: Any) -> bytes:
    """A photo, red on its left half and blue on its right."""
    picture = Image.new("RGB", size, "blue")
    picture.paste("red", (0, 0, size[0] // 2, size[1]))
    return written(picture, "JPEG", quality=95, **options)


def located(size: tuple[int, int] = (64, 32)) -> bytes:
    """A photo that tells where and with what it was taken, to be turned by a quarter."""
    exif = Image.Exif()
    exif[0x0112] = 6  # orientation: turn 90 degrees clockwise (EXIF 2.3, 4.6.4)
    exif[0x010F] = "Maker of the phone"
    exif.get_ifd(0x8825).update({1: "N", 2: (54.0, 58.0, 0.0), 3: "W", 4: (1.0, 36.0, 0.0)})
    return jpeg(size, exif=exif.tobytes(), comment=b"who took it")


def animated(kind: str) -> bytes:
    frames = [Image.new("RGB", (16, 16), colour) for colour in ("red", "blue")]
    return written(frames[0], kind, save_all=True, append_images=frames[1:])


def png_of(width: int, height: int, body: bytes = b"") -> bytes:
    """The head of a PNG of any size (PNG specification, 11.2), with no more behind it than is given."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", body or zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")


def text_bomb() -> bytes:
    """A small PNG with a compressed comment that unpacks to 70 MB."""
    body = b"Comment\0\0" + zlib.compress(b"a" * 70_000_000, 9)
    chunk = struct.pack(">I", len(body)) + b"zTXt" + body + struct.pack(">I", zlib.crc32(b"zTXt" + body))
    whole = png_of(1, 1, zlib.compress(b"\0\0"))
    return whole[:33] + chunk + whole[33:]
