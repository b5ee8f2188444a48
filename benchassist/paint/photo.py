"""A photo decoded, turned the right way up, and made small. Only the picture itself is decoded.

Which way up is the file's own word (Exif orientation), the same for every kind of file. What a
camera added is cut off before the decoder sees the file, and a picture is refused by its header
before anything of it is unpacked.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from gettext import gettext as _
from pathlib import Path
from tempfile import TemporaryDirectory

from PySide6.QtCore import QByteArray, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QColorSpace,
    QImage,
    QImageReader,
    QImageWriter,
    QPainter,
    QTransform,
)

from benchassist.core import photo_file
from benchassist.core.photo import (
    MOST_PIXELS,
    MOST_THUMBNAIL_BYTES,
    THUMBNAIL_SIDE,
    PhotoFacts,
    UnfitPhotoError,
)
from benchassist.errors import InputError

_MEGABYTES = MOST_PIXELS * 4 // 2**20 + 1
_QUALITIES = (80, 60, 40, 20)
_ACROSS, _DOWN = Qt.Orientation.Horizontal, Qt.Orientation.Vertical


class QtPhotoEye:
    """Looks at photos for the use cases. Any thread may use it."""

    def thumbnail(self, data: bytes) -> bytes:
        """A small JPEG, upright, of at most THUMBNAIL_SIDE pixels. Raises InputError."""
        return reduced(data, THUMBNAIL_SIDE, most_bytes=MOST_THUMBNAIL_BYTES)

    def reduced(self, data: bytes, side: int) -> bytes:
        """An upright JPEG of at most `side` pixels a side. Raises InputError."""
        return reduced(data, side)


def decoded(data: bytes, side: int | None = None) -> QImage:
    """The picture upright, no larger than `side` pixels a side where one is given.

    Raises InputError for a file that is no photo, or whose picture cannot be read.
    """
    try:
        facts = photo_file.look_at(data)
        bare = photo_file.stripped(data)
    except UnfitPhotoError:
        raise _unreadable() from None
    size = QSize(facts.width, facts.height)
    if side is not None and max(facts.width, facts.height) > side:
        least = QSize(1, 1)
        size = size.scaled(side, side, Qt.AspectRatioMode.KeepAspectRatio).expandedTo(least)
    with _file_of(bare) as path:
        image = _read(path, facts, size)
    if image.isNull() or image.size() != size:
        raise _unreadable()
    return upright(_plain(image), facts.orientation)


def upright(image: QImage, orientation: int) -> QImage:
    """A picture turned as its orientation (1 to 8, Exif tag 0x0112) says it is to be looked at."""
    match orientation:
        case 2:
            return image.flipped(_ACROSS)
        case 3:
            return image.flipped(_ACROSS | _DOWN)
        case 4:
            return image.flipped(_DOWN)
        case 5:
            return _quarter(image).flipped(_ACROSS)
        case 6:
            return _quarter(image)
        case 7:
            return _quarter(image).flipped(_DOWN)
        case 8:
            return _quarter(image).flipped(_ACROSS | _DOWN)
        case _:
            return image


def reduced(data: bytes, side: int, most_bytes: int | None = None) -> bytes:
    """A picture as an upright JPEG of at most `side` pixels a side. Raises as `decoded`."""
    image = decoded(data, side)
    small = b""
    for quality in _QUALITIES:
        small = jpeg_of(image, quality)
        if most_bytes is None or len(small) <= most_bytes:
            break
    return small


def jpeg_of(image: QImage, quality: int) -> bytes:
    """A picture as the bytes of a JPEG file."""
    return _written(image, "jpeg", quality)


def png_of(image: QImage) -> bytes:
    """A picture as the bytes of a PNG file, without loss: what was pasted has no file."""
    return _written(image, "png", -1)


@contextmanager
def _file_of(data: bytes = b"") -> Iterator[str]:
    """A file for a decoder or an encoder, gone afterwards. Raises InputError for a full disk.

    Not a buffer in memory: one that Python made asks for the interpreter in the middle of Qt's own
    locks, and two threads at it wait for each other without end.
    """
    try:
        with TemporaryDirectory(prefix="benchassist-") as folder:
            path = Path(folder) / "photo"
            path.write_bytes(data)
            yield str(path)
    except OSError as error:
        raise InputError(
            _("the picture cannot be unpacked ({why}): free some room").format(why=error.strerror)
        ) from None


def _read(path: str, facts: PhotoFacts, size: QSize) -> QImage:
    """Decode a file that was looked at, by the decoder of its kind and no other."""
    QImageReader.setAllocationLimit(_MEGABYTES)
    reader = QImageReader(path, QByteArray(facts.media.partition("/")[2].encode()))
    reader.setAutoTransform(False)
    reader.setQuality(90)
    if size != QSize(facts.width, facts.height):
        reader.setScaledSize(size)
    return reader.read()


def _written(image: QImage, kind: str, quality: int) -> bytes:
    with _file_of() as path:
        writer = QImageWriter(path, QByteArray(kind.encode()))
        writer.setQuality(quality)
        writer.write(image)
        del writer  # closes the file
        return photo_file.stripped(Path(path).read_bytes())


def _plain(image: QImage) -> QImage:
    """Colours as screens show them, on white where the picture lets its ground through."""
    space = image.colorSpace()
    screen = QColorSpace(QColorSpace.NamedColorSpace.SRgb)
    if space.isValid() and space != screen:
        image = image.convertedToColorSpace(screen)
    if not image.hasAlphaChannel():
        return image.convertToFormat(QImage.Format.Format_RGB32)
    ground = QImage(image.size(), QImage.Format.Format_RGB32)
    ground.fill(QColor("#FFFFFF"))
    painter = QPainter(ground)
    painter.drawImage(0, 0, image)
    painter.end()
    return ground


def _quarter(image: QImage) -> QImage:
    """Turned clockwise by a quarter."""
    return image.transformed(QTransform(0, 1, -1, 0, 0, 0))


def _unreadable() -> InputError:
    return InputError(_("the picture cannot be read: copy the file again, or save it as JPEG"))
