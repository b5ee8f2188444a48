"""What the page of the photos shows: one large, its words, the row of all of them."""

from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import KeyHint
from benchassist.services.record.photo_view import LargePhoto, PhotoStrip, PhotoTile
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.entry import ENTRY_LOW, EntryLine
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.hint import stepping
from benchassist.ui.look import Look
from benchassist.ui.message import Message, room_for
from benchassist.ui.page import Page
from benchassist.ui.photo_part import LargePicture, PhotoLine, PhotoWords, Picture
from benchassist.ui.photo_strip import STRIP_HIGH, PhotoStripPart, StripShown

WORDS_HIGH = 58.0


class PhotoBoard(Page):
    """The parts of the page, filled from a strip and placed for it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.shown = PhotoStrip()
        self.at = 0
        self.entry_id = ""
        """The photo that is selected."""
        self._fresh = ""
        self.is_large = False
        self.asking = False
        """Whether a caption is being typed."""
        self.title = Title(self)
        self.message = Message(self)
        self.picture = LargePicture(self)
        self.line = PhotoLine(self)
        self.strip = PhotoStripPart(self)
        self.entry = EntryLine(self)
        self.entry.field.setAcceptDrops(False)  # what is dropped there is a photo too
        self.entry.hide()
        self._parts = (
            self.title,
            self.message,
            self.picture,
            self.line,
            self.strip,
            self.entry,
        )

    @property
    def tile(self) -> PhotoTile | None:
        """The photo that is selected, None where there are none."""
        tiles = self.shown.tiles
        return tiles[self.at] if self.at < len(tiles) else None

    def begin(self) -> None:
        """Nothing is shown yet, and nothing selected."""
        self.shown, self.at, self.entry_id, self._fresh = PhotoStrip(), 0, "", ""
        self.is_large = self.asking = False

    def keep_selected(self) -> None:
        """The same photo while it is there, a new one when it came, else the one in its place."""
        ids = [tile.entry_id for tile in self.shown.tiles]
        fresh = self.shown.fresh
        if fresh and fresh != self._fresh and fresh in ids:
            self._fresh = self.entry_id = fresh
        if self.entry_id in ids:
            self.at = ids.index(self.entry_id)
        self.at = max(0, min(self.at, len(ids) - 1))
        self.entry_id = ids[self.at] if ids else ""

    def show_strip(self, strip: PhotoStrip) -> None:
        """Show photos: each part gets its piece and repaints only if that changed."""
        self.shown = strip
        self.keep_selected()
        self.message.put(self.problem or strip.trouble)
        goes_to = _("new ones go to {visit}").format(visit=strip.goes_to) if strip.goes_to else ""
        self.title.put(Heading(strip.title or _("Photos"), goes_to))
        self.strip.put(StripShown(strip, self.entry_id, self.strip.value.dragged))
        self.show_photo()
        self.show_frame(Bar(place=_("Photos")), Keys(hints=self.hints()))
        self.place()

    def show_photo(self) -> None:
        """Show the selected one, small until its file is read; a page knows how that is done."""
        raise NotImplementedError

    def show_none(self) -> None:
        """There are none, or they are still being read."""
        shown = self.shown
        self.picture.put(Picture(QImage(), shown.empty_text or shown.busy_text))
        self.line.put(PhotoWords(note=shown.said or shown.busy_text))

    def show_words(self, photo: LargePhoto, note: str) -> None:
        """What is said of the selected one."""
        told = self.shown.busy_text or self.shown.said or note
        self.line.put(PhotoWords(photo.text, photo.detail, told))

    def hover(self, dragged: bool) -> None:  # noqa: FBT001 - a signal's argument
        """Photos are held over the page, or no more."""
        shown = self.strip.value
        self.strip.put(StripShown(shown.strip, shown.at, dragged))

    def hints(self) -> tuple[KeyHint, ...]:
        """The strip of keys."""
        if self.asking:
            return (
                KeyHint(press="Enter", text=_("Keep it"), action="keep", main=True),
                KeyHint(press="Esc", text=_("Leave it"), action="leave"),
            )
        none = not self.shown.tiles
        add = KeyHint(press="O", text=_("Add a file"), action="file", main=none)
        paste = KeyHint(press="Ctrl+V", text=_("Paste"), action="paste")
        back = KeyHint(press="Esc", text=_("Back"), action="back")
        keys = KeyHint(press="F1", text=_("Keys"), action="help")
        if none:
            return (add, paste, back, keys) if self.shown.goes_to else (back, keys)
        large = _("Smaller") if self.is_large else _("Larger")
        newer = KeyHint(press="Left", text=_("Newer"), action="newer")
        older = KeyHint(press="Right", text=_("Older"), action="older")
        return (
            KeyHint(press="Enter", text=large, action="large", main=True),
            *stepping(self.at, len(self.shown.tiles), before=newer, after=older),
            KeyHint(press="C", text=_("Caption"), action="caption"),
            add,
            paste,
            KeyHint(press="Del", text=_("Out of sight"), action="remove"),
            back,
            keys,
        )

    def place(self) -> None:
        """The picture above, its words, the row of all below; large, the picture alone."""
        look = self.look
        high, wide = self.height() / look.s, self.units_wide - 2 * MARGIN
        told, large = room_for(self.message.value, wide), self.is_large
        top = told + 8.0
        foot = high - 10.0
        entry = Place(MARGIN, foot - ENTRY_LOW, wide, ENTRY_LOW) if self.asking else None
        strip = None
        if not large and self.shown.tiles:
            strip = Place(MARGIN, (entry.y if entry else foot) - STRIP_HIGH - 4, wide, STRIP_HIGH)
        below = strip.y if strip else entry.y if entry else foot
        line = Place(MARGIN, below - WORDS_HIGH - 4, wide, WORDS_HIGH)
        picture_top = top if large else top + 56.0
        places: dict[QWidget, Place | None] = {
            self.message: Place(MARGIN, 4.0, wide, told) if told else None,
            self.title: None if large else Place(MARGIN, top, wide, 50.0),
            self.picture: Place(MARGIN, picture_top, wide, line.y - picture_top - 8.0),
            self.line: line,
            self.strip: strip,
            self.entry: entry,
        }
        for part, where in places.items():
            part.setVisible(where is not None)
            if where is not None:
                part.setGeometry(look.rect(where))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        self.place()
