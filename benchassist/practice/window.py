"""'Practice hands': a small window beside the bench in which the probes are moved by hand."""

from typing import Final

from PySide6.QtCore import QCoreApplication, QPointF, QRect, QRectF, QSizeF, Qt, QTimer
from PySide6.QtGui import (
    QCloseEvent,
    QColor,
    QGuiApplication,
    QHideEvent,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from benchassist.paint.font import load_fonts
from benchassist.paint.key_tile import paint_frame, paint_key_tile
from benchassist.paint.lettering import RIGHT, Style, draw, draw_fitted, wrap
from benchassist.paint.palette import DARK, LIGHT, Palette
from benchassist.practice.deed import Deed, HandsView
from benchassist.practice.desk import HandsDesk
from benchassist.practice.hands_layout import (
    BAR,
    EDGE,
    HEIGHT,
    READS,
    STRIP,
    WIDTH,
    boxes,
    headings,
)
from benchassist.services.translation import _

TICK_MS: Final = 200
NOT_OURS: Final = ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)


def palette_of(theme: str) -> Palette:
    """The palette of a theme as the settings name it: light, dark, or the system's own."""
    system = QGuiApplication.styleHints().colorScheme()
    dark = theme == "dark" or (theme != "light" and system is Qt.ColorScheme.Dark)
    return DARK if dark else LIGHT


class DeedTile(QAbstractButton):
    """One deed: its key on a cap, its words; inverted where it stands."""

    def __init__(self, deed: Deed, window: "HandsWindow") -> None:
        super().__init__(window)
        self._window = window
        self.deed = deed
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.put(deed)

    def put(self, deed: Deed) -> None:
        """Show a deed as it stands now."""
        self.deed = deed
        self.setAccessibleName(f"{deed.press}. {deed.text}")
        self.setChecked(deed.stands)
        self.update()

    def nextCheckState(self) -> None:
        """What is checked is for the desk to say, not for the click."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter presses; every other key is the window's."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.click()
        else:
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Releases mean nothing here."""
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Ground, cap and words, in design units."""
        palette, scale = self._window.palette_now, self._window.scale
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(scale, scale)
        room = QRectF(0.0, 0.0, self.width() / scale, self.height() / scale)
        deed, has_focus = self.deed, self.hasFocus()
        paint_key_tile(
            painter,
            room,
            palette,
            press=deed.press,
            text=deed.text,
            inverted=deed.stands,
            has_focus=has_focus,
        )
        painter.end()


class HandsWindow(QWidget):
    """Shows what the probes hold, and every deed with its key. `beside` is the bench's window.

    Closing it lets the probes follow the step again. A key that stands for nothing here goes to
    the bench's window, so that Space takes whichever of the two is in front.
    """

    def __init__(self, desk: HandsDesk, *, theme: str = "", beside: QWidget | None = None) -> None:
        super().__init__()
        load_fonts()
        self._desk = desk
        self._beside = beside
        self._theme = theme
        self.view: HandsView = desk.view()
        self.tiles: dict[str, DeedTile] = {}
        """What can be pressed now, by key."""
        self._spare: dict[str, DeedTile] = {}
        self._timer = QTimer(self)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self.refresh)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        # Without this the program would go on for as long as only the hands are open.
        self.setAttribute(Qt.WidgetAttribute.WA_QuitOnClose, on=False)
        self.setAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)
        self.setWindowTitle(_("Practice hands"))
        self.setMinimumSize(round(WIDTH), round(HEIGHT))
        self.resize(round(WIDTH), round(HEIGHT))
        QGuiApplication.styleHints().colorSchemeChanged.connect(self.update)
        self._place()

    @property
    def scale(self) -> float:
        """Pixels in one design unit, at least one."""
        return max(1.0, min(self.width() / WIDTH, self.height() / HEIGHT))

    @property
    def palette_now(self) -> Palette:
        """The palette of the theme in use."""
        return palette_of(self._theme)

    def dress(self, theme: str) -> None:
        """Take the theme of the bench's window."""
        self._theme = theme
        self.update()

    # --- deeds ----------------------------------------------------------------------------------

    def act(self, press: str) -> bool:
        """Do what a key stands for, and show what came of it; False where it stands for nothing."""
        done = self._desk.act(press)
        self.refresh()
        return done

    def refresh(self) -> None:
        """Show how everything stands now."""
        view = self._desk.view()
        if view == self.view:
            return
        moved = [d.press for d in _deeds(view)] != [d.press for d in _deeds(self.view)]
        self.view = view
        label, text = view.reads
        self.setAccessibleDescription(f"{view.label}: {view.holds}, {view.manner}. {label}: {text}")
        if moved:
            self._place()
        for deed in _deeds(view):
            if self.tiles[deed.press].deed != deed:
                self.tiles[deed.press].put(deed)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """A deed's key, or one for the bench."""
        ours = not event.modifiers() & NOT_OURS
        if ours and self.act(event.text().upper()):
            return
        if self._beside is None or not self._beside.isVisible():
            event.ignore()
            return
        focused: QWidget | None = self._beside.focusWidget()
        QCoreApplication.sendEvent(self._beside if focused is None else focused, event)

    # --- places ---------------------------------------------------------------------------------

    def _place(self) -> None:
        s = self.scale
        self._spare |= self.tiles
        self.tiles = {deed.press: self._tile(deed) for deed in _deeds(self.view)}
        for press, tile in self._spare.items():
            tile.setVisible(press in self.tiles)
        for deed, box in boxes(self.view, self.width() / s):
            corner = QPointF(box.x * s, box.y * s).toPoint()
            size = QSizeF(box.width * s, box.height * s).toSize()
            self.tiles[deed.press].setGeometry(QRect(corner, size))

    def _tile(self, deed: Deed) -> DeedTile:
        """The tile of a key, made when it is first needed."""
        tile = self._spare.get(deed.press)
        if tile is None:
            tile = DeedTile(deed, self)
            tile.clicked.connect(lambda _checked, press=deed.press: self.act(press))
            self._spare[deed.press] = tile
        return tile

    def paintEvent(self, event: QPaintEvent) -> None:
        """The bar with what the probes hold, and the headings."""
        palette, s = self.palette_now, self.scale
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(palette.bench))
        painter.scale(s, s)
        wide = self.width() / s
        painter.fillRect(QRectF(0.0, 0.0, wide, BAR), QColor(palette.bar))
        self._paint_bar(painter, wide - 2.0 * EDGE, palette)
        self._paint_strip(painter, wide - 2.0 * EDGE, palette)
        for group, y in headings(self.view):
            if group.title:
                title = Style(px=16, weight=700, color=palette.ink)
                draw(painter, EDGE, y + 19.0, group.title, title)
                note = Style(px=15, weight=500, color=palette.dim, align=RIGHT)
                draw(painter, wide - EDGE, y + 19.0, group.note, note)
        painter.end()

    def _paint_bar(self, painter: QPainter, wide: float, palette: Palette) -> None:
        view, dim = self.view, Style(px=16, weight=500, color=palette.bar_dim)
        if view.trouble:
            style = Style(px=16, weight=600, color=palette.bar_text)
            for i, line in enumerate(wrap(view.trouble, wide, style, lines=3)):
                draw(painter, EDGE, 24.0 + 20.0 * i, line, style)
            return
        draw(painter, EDGE, 26.0, view.label, dim)
        manner = Style(px=16, weight=700, color=palette.bar_text, align=RIGHT)
        draw(painter, EDGE + wide, 26.0, view.manner, manner)
        holds = Style(px=32, weight=800, color=palette.bar_text)
        draw_fitted(painter, EDGE, 62.0, view.holds, holds, width=wide)

    def _paint_strip(self, painter: QPainter, wide: float, palette: Palette) -> None:
        label, text = self.view.reads
        room = QRectF(EDGE, STRIP, wide, READS)
        painter.fillRect(room, QColor(palette.panel))
        paint_frame(painter, room, palette.panel_edge, 1.0)
        x = EDGE + 8.0
        draw(painter, x, STRIP + 18.0, label, Style(px=14, weight=500, color=palette.dim))
        style = Style(px=20, weight=700, color=palette.ink)
        draw_fitted(painter, x, STRIP + 41.0, text, style, width=wide - 16.0)

    # --- coming and going -----------------------------------------------------------------------

    def bring(self) -> None:
        """Show it beside the bench's window, or in front again if it is open already."""
        if not self.isVisible():
            self._stand_beside()
        self.showNormal()

    def _stand_beside(self) -> None:
        """Right of the bench where the screen has room, else left, else over the slip."""
        bench = self._beside
        if bench is None:
            return
        screen, frame = bench.screen().availableGeometry(), bench.frameGeometry()
        wide, gap = self.width(), round(2 * EDGE)
        if frame.right() + gap + wide <= screen.right():
            self.move(frame.right() + gap, frame.top())
        elif frame.left() - gap - wide >= screen.left():
            self.move(frame.left() - gap - wide, frame.top())
        else:
            low = min(frame.bottom(), screen.bottom()) - self.height() - gap
            self.move(max(screen.left(), frame.left()) + gap, max(screen.top(), low))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Scale with the window."""
        self._place()

    def showEvent(self, event: QShowEvent) -> None:
        """Keep what is shown fresh, and stay in front of the bench."""
        self._timer.start()
        self.setFocus()
        if self._beside is not None:
            self.windowHandle().setTransientParent(self._beside.windowHandle())
        self.refresh()

    def hideEvent(self, event: QHideEvent) -> None:
        """Nothing to keep fresh."""
        self._timer.stop()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Leave the probes to the step and the meter in order."""
        self._desk.leave()
        self.refresh()
        event.accept()


def open_hands(desk: HandsDesk, *, theme: str) -> HandsWindow:
    """The window of the practice hands, beside whatever window is open. In the GUI thread."""
    open_now = (w for w in QApplication.topLevelWidgets() if w.isVisible() and w.isWindow())
    window = HandsWindow(desk, theme=theme, beside=next(open_now, None))
    window.bring()
    return window


def _deeds(view: HandsView) -> list[Deed]:
    """Every deed that is shown, the tabs first."""
    return [deed for group in (view.tabs, *view.groups) for deed in group.deeds]
