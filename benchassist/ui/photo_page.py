"""The photos of a machine: a desk behind the board, its keys, ways to add others."""

from pathlib import Path

from PySide6.QtCore import QStandardPaths, Qt
from PySide6.QtGui import QImage, QMouseEvent
from PySide6.QtWidgets import QWidget

from benchassist.errors import BenchError
from benchassist.paint.photo import decoded
from benchassist.services.errand import Errand
from benchassist.services.record.photo_view import LargePhoto, PhotoDesk
from benchassist.services.translation import _
from benchassist.ui.entry import EntryShown
from benchassist.ui.page import Turn
from benchassist.ui.photo_board import PhotoBoard
from benchassist.ui.photo_door import Handed, PhotoDoor, pasted
from benchassist.ui.photo_part import PhotoWords, Picture

PRESSES = {
    "large": "Enter",
    "newer": "Left",
    "older": "Right",
    "file": "O",
    "paste": "Ctrl+V",
    "caption": "C",
    "remove": "Del",
    "back": "Esc",
}
"""What a key hint of the strip stands for."""


class PhotoPage(PhotoBoard):
    """One machine's photos. Dragging and pasting work wherever the focus is."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: PhotoDesk | None = None
        self._asked_to_remove = ""
        self._photo: LargePhoto | None = None
        self._loading: Errand[tuple[QImage, str]] | None = None
        self.door = PhotoDoor(self)
        self.door.came.connect(self.take)
        self.door.hovered.connect(self.hover)
        self.strip.chosen.connect(self._select)
        self.entry.field.entered.connect(self._say)
        self.entry.field.left.connect(self._stop_asking)

    # --- desk -----------------------------------------------------------------------------------

    def open(self, desk: PhotoDesk) -> None:
        """Show a machine's photos, the newest first."""
        self._desk, self.problem = desk, ""
        self._photo, self._loading = None, None
        self.begin()
        desk.tick()
        self.show_strip(desk.strip())

    def entered(self) -> None:
        """Ready for keys."""
        (self.entry.field if self.asking else self).setFocus()

    def left(self) -> None:
        """What the last key could not do is old when one comes back."""
        super().left()
        self._asked_to_remove = ""

    def refresh(self) -> None:
        """One tick, one view; a picture that was read in the meantime is shown."""
        desk = self._desk
        if desk is None:
            return
        desk.tick()
        strip = desk.strip()
        if strip is not self.shown or (self.problem or strip.trouble) != self.message.value:
            self.show_strip(strip)
        self._fetch()

    def show_desk(self) -> None:
        """The strip as the desk has it."""
        if self._desk is not None:
            self.show_strip(self._desk.strip())

    @property
    def busy(self) -> bool:
        """Whether a picture is being read."""
        return self._loading is not None

    # --- the large one --------------------------------------------------------------------------

    def show_photo(self) -> None:
        """Show the selected one, small until its file is read."""
        desk, tile = self._desk, self.tile
        if desk is None or tile is None:
            self._photo, self._loading = None, None
            self.show_none()
            return
        if self._photo is None or self._photo.entry_id != tile.entry_id:
            self._photo = desk.large(tile.entry_id)
            self.picture.put(Picture(QImage.fromData(tile.thumbnail), tile.note))
            self._load(self._photo)
        self.show_words(self._photo, tile.note)

    def show_words(self, photo: LargePhoto, note: str) -> None:
        """What is said of the selected one; while it was asked to be removed, what that takes."""
        if photo.entry_id == self._asked_to_remove:
            again = _("Del once more takes it out of sight. Its file is kept")
            self.line.put(PhotoWords(photo.text, photo.detail, again))
        else:
            super().show_words(photo, note)

    def _load(self, photo: LargePhoto) -> None:
        """Read and decode in a thread."""
        side = max(self.window().width(), self.window().height(), 640)

        def load() -> tuple[QImage, str]:
            found = photo.load()
            return (decoded(found.data, side) if found.data else QImage(), found.note)

        self._loading = Errand(load, "photo to look at")

    def _fetch(self) -> None:
        loading, photo = self._loading, self._photo
        if loading is None or photo is None or not loading.done:
            return
        self._loading = None
        try:
            image, note = loading.result()
        except BenchError as error:
            image, note = QImage(), str(error)
        if not image.isNull():
            self.picture.put(Picture(image))
        if note:
            self.show_words(photo, note)

    # --- adding ---------------------------------------------------------------------------------

    def take(self, handed: Handed) -> None:
        """Add what was dragged here, pasted or picked."""
        desk = self._desk
        if desk is not None:
            self.attempt_shown(lambda: handed.add_to(desk))

    def _pick(self) -> None:
        from benchassist.ui.file_dialog import pick_photos

        where = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.PicturesLocation)
        files = tuple(Path(path) for path in pick_photos(self.window(), Path(where or Path.home())))
        if files:
            self.take(Handed(files=files))

    def _paste(self) -> None:
        handed = pasted()
        if handed:
            self.take(handed)
            return
        self.problem = _("There is no picture to paste: copy one first")
        self._show_again()

    # --- captions -------------------------------------------------------------------------------

    def _ask(self) -> None:
        tile = self.tile
        if tile is None:
            return
        self.asking = True
        hint = _("Such as: coil, crack by the tab")
        self.entry.put(EntryShown(label=_("What it shows"), hint=hint))
        self.entry.field.setText(tile.caption)
        self._show_again()
        self.entry.field.setFocus()
        self.entry.field.selectAll()

    def _say(self, text: str) -> None:
        desk, entry_id = self._desk, self.entry_id
        if desk is not None and self.attempt_shown(lambda: desk.say(entry_id, text)):
            self._stop_asking()
            return
        self.entry.put(EntryShown(label=_("What it shows"), error=self.problem))
        self.problem = ""
        self._show_again()

    def _stop_asking(self) -> None:
        self.asking = False
        self.setFocus()
        self._show_again()

    # --- keys -----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Do what a key does here."""
        if self.asking:
            return self._press_line(press)
        removing, self._asked_to_remove = self._asked_to_remove, ""
        match press:
            case "Enter":
                self._look_large(not self.is_large)
            case "Left" | "Right":
                self._move(-1 if press == "Left" else 1)
            case "O":
                self._pick()
            case "Ctrl+V":
                self._paste()
            case "C":
                self._ask()
            case "Del":
                self._remove(removing)
            case "Esc" if self.is_large:
                self._look_large(False)
            case "Esc":
                self.turned.emit(Turn(page="back"))
            case _:
                return False
        return True

    def _press_line(self, press: str) -> bool:
        """Tab led away from the line: its keys are still the line's."""
        match press:
            case "Esc":
                self._stop_asking()
            case "Enter":
                self._say(self.entry.field.text())
            case _ if len(press) == 1:
                self.entry.field.setFocus()
                self.entry.field.insert(press.lower())
            case _:
                return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        match action:
            case "keep":
                self._say(self.entry.field.text())
            case "leave":
                self._stop_asking()
            case _ if action in PRESSES:
                self.press(PRESSES[action])

    def _look_large(self, large: bool) -> None:  # noqa: FBT001 - what is wanted
        self.is_large = large and self.tile is not None
        self._show_again()

    def _move(self, step: int) -> None:
        tiles = self.shown.tiles
        if tiles:
            self._select(tiles[max(0, min(self.at + step, len(tiles) - 1))].entry_id)

    def _select(self, entry_id: str) -> None:
        self.problem, self.entry_id = "", entry_id
        self._show_again()

    def _remove(self, asked: str) -> None:
        """Twice pressed, the photo goes out of sight."""
        desk, entry_id, photo = self._desk, self.entry_id, self._photo
        if desk is None or photo is None:
            return
        if asked != entry_id:
            self._asked_to_remove = entry_id
            self.show_words(photo, "")
            return
        self.attempt_shown(lambda: desk.remove(entry_id))

    def _show_again(self) -> None:
        self.show_strip(self.shown)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """A double click on the picture is Enter."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.press("Enter")
