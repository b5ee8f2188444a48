"""Photos decoded for the screen and for print: small, plain, bounded, in any thread."""

import io
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms
from PySide6.QtGui import QColorSpace, QImage

from benchassist.core.photo import MOST_THUMBNAIL_BYTES, THUMBNAIL_SIDE
from benchassist.core.photo_file import look_at, stripped
from benchassist.errors import InputError
from benchassist.paint.photo import QtPhotoEye, decoded, png_of, reduced
from tests.core import pictures

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("size", [(4000, 10), (10, 4000), (321, 320), (16, 12), (1, 1)])
def test_a_thumbnail_is_small_and_bare(size: tuple[int, int]) -> None:
    """At most 320 pixels a side, never enlarged, the shape kept, nothing but the picture in it."""
    data = pictures.png(pictures.picture(max(size[0], 8), max(size[1], 8)).resize(size))
    small = QtPhotoEye().thumbnail(data)
    facts = look_at(small)
    assert max(facts.width, facts.height) == min(THUMBNAIL_SIDE, *[max(size)])
    assert min(facts.width, facts.height) >= 1
    assert stripped(small) == small
    assert len(small) < MOST_THUMBNAIL_BYTES


def test_noise_is_made_small_enough() -> None:
    """What does not pack well is packed harder."""
    noise = np.random.default_rng(5).integers(0, 256, (640, 640, 3), np.uint8)
    small = reduced(pictures.png(Image.fromarray(noise)), 640, most_bytes=120_000)
    assert len(small) <= 120_000
    assert len(reduced(pictures.png(Image.fromarray(noise)), 640)) > 120_000


def test_what_shows_through_stands_on_white() -> None:
    """A screenshot with holes does not turn black."""
    image = Image.new("RGBA", (20, 10), (200, 0, 0, 0))
    image.paste((0, 0, 255, 255), (0, 0, 10, 10))
    for data in (pictures.png(image), pictures.webp(image)):
        seen = decoded(data)
        assert seen.pixelColor(15, 5).name() == "#ffffff"
        assert seen.pixelColor(5, 5).name() == "#0000ff"


def test_a_wide_profile_is_brought_to_the_screens() -> None:
    """Colours are those the profile means, as Pillow's colour management has them."""
    wide = QColorSpace(QColorSpace.NamedColorSpace.DisplayP3).iccProfile()
    profile = ImageCms.ImageCmsProfile(io.BytesIO(bytes(wide.data())))
    image = Image.new("RGB", (16, 16), (200, 60, 40))
    told = io.BytesIO()
    image.save(told, "PNG", icc_profile=profile.tobytes())
    wanted = ImageCms.profileToProfile(image, profile, ImageCms.createProfile("sRGB"))
    assert wanted is not None
    seen = decoded(told.getvalue()).pixelColor(8, 8)
    got = (seen.red(), seen.green(), seen.blue())
    assert max(abs(a - b) for a, b in zip(got, wanted.getpixel((8, 8)), strict=True)) <= 2  # type: ignore[arg-type]
    assert got != (200, 60, 40)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"no picture",
        pictures.jpeg()[:300],
        pictures.jpeg().replace(b"\xff\xda", b"\xff\xfe", 1),
    ],
)
def test_what_is_no_photo_is_refused_in_one_line(data: bytes) -> None:
    """Nothing of it reaches a decoder."""
    with pytest.raises(InputError, match="the picture cannot be read"):
        decoded(data)


def test_a_sound_frame_around_spoilt_data_is_refused_or_shown() -> None:
    """A file that is whole by its chunks and cannot be unpacked is refused; nothing hangs."""
    data = pictures.png()
    at = data.index(b"IDAT")
    (length,) = struct.unpack_from(">I", data, at - 4)
    body = b"IDAT" + b"\x00" * length
    spoilt = data[:at] + body + struct.pack(">I", zlib.crc32(body)) + data[at + 8 + length :]
    with pytest.raises(InputError):
        decoded(spoilt)


def test_a_full_disk_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """In one line, as a fault of the computer."""

    def full(_self: Path, _data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(InputError, match="No space left on device"):
        decoded(pictures.jpeg())


def test_a_large_picture_is_within_the_decoders_allowance() -> None:
    """70 megapixels of PNG, more than Qt takes by itself, are made small; none is kept whole."""
    image = Image.new("L", (10_000, 7_000), 128)
    told = io.BytesIO()
    image.save(told, "PNG", compress_level=1)
    small = QImage.fromData(QtPhotoEye().thumbnail(told.getvalue()))
    assert (small.width(), small.height()) == (320, 224)


def test_pixels_are_pasted_without_loss() -> None:
    """As a PNG that says nothing but the picture."""
    image = QImage.fromData(pictures.png(pictures.picture(33, 21)))
    data = png_of(image)
    assert QImage.fromData(data).convertToFormat(image.format()) == image
    assert stripped(data) == data


def test_two_threads_decode_while_a_third_paints() -> None:
    """None waits for another for ever: in a program of its own, ended if it does."""
    code = """
import threading
from PySide6.QtGui import QGuiApplication, QImage
application = QGuiApplication(["test", "-platform", "offscreen"])
from benchassist.paint.photo import decoded, jpeg_of, reduced
from tests.core import pictures

sources = [make(pictures.picture(600, 400)) for make in
           (pictures.jpeg, pictures.png, pictures.webp)]
small = reduced(sources[0], 320)
stopped, done = threading.Event(), []

def work():
    number = 0
    while not stopped.is_set() or number < 9:
        decoded(sources[number % 3], 300)
        reduced(sources[number % 3], 320)
        number += 1
    done.append(number)

threads = [threading.Thread(target=work) for _ in range(2)]
for thread in threads:
    thread.start()
for number in range(1000):
    QImage.fromData(small)
    if number % 100 == 0:
        jpeg_of(QImage.fromData(small), 80)
stopped.set()
for thread in threads:
    thread.join()
assert len(done) == 2
"""
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT, timeout=120)
