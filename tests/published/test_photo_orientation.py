"""Which way up a photo is looked at, against Pillow's `ImageOps.exif_transpose` (Pillow 12).

The eight orientations are those of Exif 2.32 (CIPA DC-008), tag 0x0112.
"""

import io
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image, ImageOps
from PySide6.QtGui import QImage

from benchassist.paint.photo import decoded, reduced
from tests.core import pictures

LOSSLESS = 0
NEARLY = 3
"""Steps of 255 by which two decoders of a JPEG of quality 100 may differ."""


def pixels(image: QImage) -> np.ndarray:
    """A picture as rows of red, green, blue."""
    plain = image.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), -1)
    return rows[:, : 3 * plain.width()].reshape(plain.height(), plain.width(), 3).astype(int)


def turned(data: bytes) -> np.ndarray:
    """The same file turned by Pillow."""
    with Image.open(io.BytesIO(data)) as image:
        return np.asarray(ImageOps.exif_transpose(image).convert("RGB")).astype(int)


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize(
    ("make", "most"),
    [(pictures.jpeg, NEARLY), (pictures.png, LOSSLESS), (pictures.webp, LOSSLESS)],
)
def test_every_orientation_is_turned_as_pillow_turns_it(
    make: Callable[..., bytes], most: int, orientation: int
) -> None:
    """Pixel by pixel, whatever kind of file says it."""
    data = make(orientation=orientation, planted=True)
    mine, theirs = pixels(decoded(data)), turned(data)
    assert mine.shape == theirs.shape
    assert np.abs(mine - theirs).max() <= most


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_small_one_is_turned_the_same_way(orientation: int) -> None:
    """A thumbnail is the whole picture, upright, at most so large."""
    data = pictures.png(pictures.picture(960, 640), orientation, planted=True)
    small = reduced(data, 320)
    with Image.open(io.BytesIO(small)) as image:
        assert image.size == ((320, 213) if orientation < 5 else (213, 320))
        assert image.format == "JPEG"
        assert not image.getexif()
        mine = np.asarray(image.convert("RGB")).astype(int)
    large = Image.fromarray(turned(data).astype(np.uint8))
    theirs = np.asarray(large.resize(mine.shape[1::-1], Image.Resampling.BOX)).astype(int)
    # Two ways to make it small and a JPEG differ at edges, not as a whole.
    assert np.abs(mine - theirs).mean() < 4
