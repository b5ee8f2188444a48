"""Pictures made with Pillow, with everything a camera and a program can put into their files."""

import io
import struct
import zlib

import numpy as np
from PIL import Image

PLANTED = (
    b"SERIAL-8841",
    b"MAKER-NOTE-7731",
    b"XMP-GPSLatitude-5512",
    b"IPTC-CITY-9034",
    b"COMMENT-4420",
    b"TRAILING-6605",
    b"THUMB-IFD-3318",
    b"PHOTOGRAPHER-2207",
)
"""What must not leave the shop, wherever in a file it stands."""

GPS, MAKE, SERIAL, ARTIST, MAKER_NOTE, ORIENTATION = 0x8825, 0x010F, 0xA431, 0x013B, 0x927C, 0x0112
EXIF = 0x8769


def picture(width: int = 48, height: int = 32, *, mode: str = "RGB") -> Image.Image:
    """A picture that looks different every way it is turned, in soft colours."""
    x, y = np.meshgrid(np.linspace(0, 1, width), np.linspace(0, 1, height))
    planes = np.stack([255 * x, 255 * y, 255 * x * y], axis=-1)
    planes[: height // 3, : width // 4] = (250, 20, 30)
    image = Image.fromarray(planes.astype(np.uint8), "RGB")
    return image.convert(mode)


def exif(orientation: int = 1, *, planted: bool = False) -> bytes:
    """An Exif block as Pillow writes it."""
    block = Image.Exif()
    if orientation != 1:
        block[ORIENTATION] = orientation
    if planted:
        block[ARTIST] = "PHOTOGRAPHER-2207"
        block[MAKE] = "SERIAL-8841"
        inner = block.get_ifd(EXIF)
        inner[SERIAL] = "SERIAL-8841"
        inner[MAKER_NOTE] = b"MAKER-NOTE-7731"
        place = block.get_ifd(GPS)
        place[1], place[2] = "N", (52.0, 10.0, 3.5)
        place[3], place[4] = "E", (5.0, 20.0, 1.5)
        block.get_ifd(1)[0x010E] = "THUMB-IFD-3318"
    return block.tobytes()


def jpeg(
    image: Image.Image | None = None,
    orientation: int = 1,
    *,
    planted: bool = False,
    progressive: bool = False,
    icc: bytes = b"",
) -> bytes:
    """A JPEG; `planted` puts something into every place there is."""
    told = io.BytesIO()
    kept = {"icc_profile": icc} if icc else {}
    if planted or orientation != 1:
        kept["exif"] = exif(orientation, planted=planted)
    (image or picture()).save(
        told, "JPEG", quality=100, subsampling=0, progressive=progressive, **kept
    )
    data = told.getvalue()
    if not planted:
        return data
    xmp = b"http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta>XMP-GPSLatitude-5512</x:xmpmeta>"
    iptc = b"Photoshop 3.0\x008BIM\x04\x04\x00\x00\x00\x00\x00\x0eIPTC-CITY-9034"
    more = _segment(0xE1, xmp) + _segment(0xED, iptc) + _segment(0xFE, b"COMMENT-4420")
    more += _segment(0xE0, b"JFXX\x00\x10THUMB-IFD-3318") + _segment(0xEF, b"SERIAL-8841")
    # Beside the picture's own head, and between its tables and its end.
    at = data.index(b"\xff\xdb")
    return data[:at] + more + data[at:] + b"\xff\xd8TRAILING-6605\xff\xd9"


def png(image: Image.Image | None = None, orientation: int = 1, *, planted: bool = False) -> bytes:
    """A PNG; `planted` as in `jpeg`."""
    told = io.BytesIO()
    kept = {"exif": exif(orientation, planted=planted)} if planted or orientation != 1 else {}
    (image or picture()).save(told, "PNG", **kept)
    data = told.getvalue()
    if not planted:
        return data
    texts = _chunk(b"tEXt", b"Comment\x00COMMENT-4420")
    texts += _chunk(b"zTXt", b"IPTC-CITY-9034\x00\x00" + zlib.compress(b"more of it"))
    texts += _chunk(b"iTXt", b"XML:com.adobe.xmp\x00\x00\x00\x00\x00XMP-GPSLatitude-5512")
    texts += _chunk(b"tIME", b"\x07\xea\x06\x09\x08\x00\x00") + _chunk(b"prVt", b"SERIAL-8841")
    at = data.index(b"IDAT") - 4
    return data[:at] + texts + data[at:] + b"TRAILING-6605"


def webp(
    image: Image.Image | None = None,
    orientation: int = 1,
    *,
    planted: bool = False,
    lossless: bool = True,
) -> bytes:
    """A WebP; `planted` as in `jpeg`."""
    told = io.BytesIO()
    kept: dict[str, bytes] = {}
    if planted or orientation != 1:
        kept["exif"] = exif(orientation, planted=planted)
    if planted:
        kept["xmp"] = b"<x:xmpmeta>XMP-GPSLatitude-5512</x:xmpmeta>"
    (image or picture()).save(told, "WEBP", lossless=lossless, quality=100, **kept)
    data = told.getvalue()
    if not planted:
        return data
    body = data[8:] + b"NOTE" + struct.pack("<I", 12) + b"COMMENT-4420"
    return b"RIFF" + struct.pack("<I", len(body)) + body + b"TRAILING-6605"


def _segment(marker: int, body: bytes) -> bytes:
    return bytes((0xFF, marker)) + struct.pack(">H", len(body) + 2) + body


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
