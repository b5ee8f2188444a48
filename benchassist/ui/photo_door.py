"""How photos come in at the window: dragged onto a page, pasted, or chosen as files."""

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QEvent, QMimeData, QObject, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication, QImage
from PySide6.QtWidgets import QWidget

from benchassist.paint.photo import png_of
from benchassist.services.record.photo_view import PhotoDesk

KINDS = ("image/jpeg", "image/png", "image/webp")
"""What is taken as the bytes of a file; any other picture is made one."""


@dataclass(frozen=True, slots=True)
class Handed:
    """What was handed over: files of this computer, or the bytes of one picture."""

    files: tuple[Path, ...] = ()
    image: bytes = b""

    def __bool__(self) -> bool:
        """Whether there is anything to add."""
        return bool(self.files or self.image)

    def add_to(self, desk: PhotoDesk) -> None:
        """Add it. Raises as `PhotoDesk.add_files`."""
        if self.files:
            desk.add_files(self.files)
        elif self.image:
            desk.add_image(self.image)


class PhotoDoor(QObject):
    """Watches a page for what is dragged onto it. `came` tells what was dropped.

    `hovered` says that photos are held over the page, or no more.
    """

    came = Signal(object)
    hovered = Signal(bool)

    def __init__(self, page: QWidget) -> None:
        super().__init__(page)
        page.setAcceptDrops(True)
        page.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take what may be photos, leave everything else to the page."""
        match event.type():
            case QEvent.Type.DragEnter | QEvent.Type.DragMove:
                assert isinstance(event, QDragEnterEvent | QDropEvent)  # noqa: S101
                if not may_be_photos(event.mimeData()):
                    return False
                event.acceptProposedAction()
                self.hovered.emit(True)
                return True
            case QEvent.Type.DragLeave:
                self.hovered.emit(False)
            case QEvent.Type.Drop:
                assert isinstance(event, QDropEvent)  # noqa: S101
                self.hovered.emit(False)
                handed = handed_of(event.mimeData())
                if handed:
                    event.acceptProposedAction()
                    self.came.emit(handed)
                    return True
            case _:
                pass
        return False


def pasted() -> Handed:
    """What lies on the clipboard."""
    return handed_of(QGuiApplication.clipboard().mimeData())


def may_be_photos(mime: QMimeData) -> bool:
    """Whether there are files or a picture in it; nothing is read yet."""
    return bool(_files(mime)) or mime.hasImage() or any(mime.hasFormat(kind) for kind in KINDS)


def handed_of(mime: QMimeData | None) -> Handed:
    """What is in it: files of this computer before the picture that may come with them."""
    if mime is None:  # a clipboard that nobody ever filled
        return Handed()
    files = _files(mime)
    if files:
        return Handed(files=files)
    for kind in KINDS:
        if mime.hasFormat(kind):
            return Handed(image=bytes(mime.data(kind).data()))
    image = mime.imageData() if mime.hasImage() else None
    if isinstance(image, QImage) and not image.isNull():
        return Handed(image=png_of(image))
    return Handed()


def _files(mime: QMimeData) -> tuple[Path, ...]:
    return tuple(Path(url.toLocalFile()) for url in mime.urls() if url.isLocalFile())
