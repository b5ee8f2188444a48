"""Invented photos of a machine, drawn by the program's own sketches, and a desk that shows them."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from benchassist.errors import BenchError
from benchassist.paint.palette import LIGHT
from benchassist.paint.photo import jpeg_of
from benchassist.paint.sketch import paint_machine, paint_sketch
from benchassist.services.record.photo_view import LargePhoto, PhotoData, PhotoStrip, PhotoTile

SKETCHES = ("coil_secondary", "plug_gap", "cap", "")
GROUND = ("#E5E9E8", "#D8D2C4", "#C9D6DE")


@cache
def drawn(sketch: str, width: int = 320, height: int = 240, ground: str = GROUND[0]) -> bytes:
    """A sketch as the bytes of a photo; the machine where it has no name."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor(ground))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    room = QRectF(0.1 * width, 0.1 * height, 0.8 * width, 0.8 * height)
    if sketch:
        paint_sketch(painter, room, sketch, {}, LIGHT)
    else:
        paint_machine(painter, room, LIGHT)
    painter.end()
    return jpeg_of(image, 80)


def tiles(*texts: str, upright: bool = False) -> tuple[PhotoTile, ...]:
    """A tile a text, each another picture."""
    size = (240, 320) if upright else (320, 240)
    return tuple(
        PhotoTile(
            entry_id=f"p{i}",
            visit_id="v1",
            text=text,
            caption=text.partition(": ")[2],
            thumbnail=drawn(SKETCHES[i % 4], *size, GROUND[i % 3]),
            width=10 * size[0],
            height=10 * size[1],
        )
        for i, text in enumerate(texts)
    )


SEVEN = (
    "Today: coil, crack by tab",
    "Today: plug, gap 0.92",
    "2024: cap and lead",
    "2023: as it came in",
    "2023: belt guard, cracked",
    "2023",
    "2023: plate on the engine",
)


class FakePhotos:
    """Photos that stand still, and what was asked of them. `refuses` is raised at the next."""

    def __init__(self, strip: PhotoStrip | None = None) -> None:
        self.shown = strip or none()
        self.files: list[Path] = []
        self.images: list[bytes] = []
        self.said_with: list[str] = []
        self.captions: list[tuple[str, str]] = []
        self.removed: list[str] = []
        self.ticks = 0
        self.refuses: BenchError | None = None
        self.after: PhotoStrip | None = None
        """What shows after the next thing that was asked."""
        self.load: Callable[[], PhotoData] = lambda: PhotoData(data=drawn("plug_gap", 1600, 1200))

    def tick(self) -> None:
        """Count it."""
        self.ticks += 1

    def strip(self) -> PhotoStrip:
        """What is set to show."""
        return self.shown

    def _asked(self) -> None:
        refusal, self.refuses = self.refuses, None
        if refusal is not None:
            raise refusal
        self.shown, self.after = self.after or self.shown, None

    def add_files(self, paths: Sequence[Path], caption: str = "") -> None:
        """Write them down."""
        self.files += paths
        self.said_with.append(caption)
        self._asked()

    def add_image(self, data: bytes, caption: str = "") -> None:
        """Write it down."""
        self.images.append(data)
        self.said_with.append(caption)
        self._asked()

    def say(self, entry_id: str, caption: str) -> None:
        """Write it down."""
        self.captions.append((entry_id, caption))
        self._asked()

    def remove(self, entry_id: str) -> None:
        """Write it down."""
        self.removed.append(entry_id)
        self._asked()

    def large(self, entry_id: str) -> LargePhoto:
        """Any photo is the same drawing."""
        tile = next(t for t in self.shown.tiles if t.entry_id == entry_id)
        return LargePhoto(
            entry_id=entry_id,
            load=self.load,
            text=tile.caption,
            detail="9 Jun 2026 · 3200 × 2400 pixels",
        )


def none() -> PhotoStrip:
    """A machine without photos."""
    return PhotoStrip(
        title="Photos",
        goes_to="slip 0412",
        empty_text="No photos yet. Drag one here, or paste it.",
    )


def seven() -> PhotoStrip:
    """More than there is room for."""
    return PhotoStrip(tiles=tiles(*SEVEN), title="Photos", goes_to="slip 0412")


def photo_states() -> dict[str, PhotoStrip]:
    """Every state of the page."""
    some = tiles(*SEVEN[:3])
    elsewhere = "The original is on another computer"
    return {
        "none": none(),
        "no-visit": PhotoStrip(
            title="Photos", empty_text="No photos. They belong to a visit: open one first."
        ),
        "seven": seven(),
        "upright": replace(seven(), tiles=tiles(*SEVEN[:2], upright=True)),
        "busy": replace(seven(), busy_text="Reading the photo"),
        "added": replace(seven(), said="Photo added", fresh="p0"),
        "faults": replace(
            seven(),
            said="2 photos added. plug.jpg: there already, not added twice",
            trouble="notes.txt: this is not a picture: choose a JPEG, PNG or WebP file; "
            "IMG_2041.HEIC: this is a HEIC picture: set the camera to JPEG, or save it as JPEG; "
            "3 more",
        ),
        "elsewhere": replace(
            seven(),
            tiles=(
                replace(some[0], missing=True, note=elsewhere),
                replace(
                    some[1], thumbnail=b"", missing=True, note="No picture of it is on file here"
                ),
                replace(some[2], pencilled=True),
            ),
        ),
        "long": replace(
            seven(),
            tiles=tiles(
                "9 Jun 2026: the coil’s tab where it was cracked, seen from the side of the fan "
                "housing with the shroud taken off and the governor arm held back",
                "2024: <b>cap</b> \u202eand lead\u202c",
            ),
        ),
    }
