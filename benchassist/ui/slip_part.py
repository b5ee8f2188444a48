"""The slip beside the bench: it fills in line by line and follows the step at work."""

from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QWheelEvent
from PySide6.QtWidgets import QWidget

from benchassist.core.slip import Ink, Line
from benchassist.paint.palette import Palette
from benchassist.paint.slip_panel import (
    WIDTH,
    Section,
    Sheet,
    SheetLayout,
    lay_out_sheet,
    paint_sheet_layout,
)
from benchassist.services.bench.view import BenchView, SlipHead
from benchassist.services.translation import _
from benchassist.ui.crowd import pixels
from benchassist.ui.look import Look
from benchassist.ui.part import Part

SLIP_SHARE = WIDTH / 1366.0
"""The slip's part of the window's width."""
NOTHING = SlipHead(title="", date_text="", customer="", unit_text="", engine_text="", said="")


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipShown:
    """What is on the slip."""

    head: SlipHead = NOTHING
    lines: tuple[Line, ...] = ()
    current: int | None = 0
    did: tuple[str, ...] = ()
    proved: tuple[str, ...] = ()
    not_proved: tuple[str, ...] = ()
    closed: bool = False
    hint: str = ""
    """Beside the heading of the lines; empty: what the lines say of themselves."""


class SlipPart(Part[SlipShown]):
    """The left panel of the bench. Only the line at work repaints while only it changes."""

    pressed = Signal(int)
    """The number of a line that was clicked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(SlipShown(), parent)
        self._layout: SheetLayout | None = None
        self._scroll = 0.0

    def put_view(self, view: BenchView) -> None:
        """Show the slip of a view."""
        self.put(
            SlipShown(
                head=view.head,
                lines=view.lines,
                current=view.current_line,
                did=view.did,
                proved=view.proved,
                not_proved=view.not_proved,
                closed=view.closed,
            )
        )

    def words(self) -> str:
        """Title, every line with its value and verdict."""
        shown = self.value
        lines = [_line_words(line) for line in shown.lines]
        return ". ".join(t for t in (shown.head.title, shown.head.customer, *lines) if t)

    def changed(self, before: SlipShown) -> None:
        """Lay out anew; repaint the line at work alone where nothing else moved."""
        old, scroll = self._layout, self._scroll
        self._layout = self._lay_out()
        if before.head != self.value.head:
            self._scroll = 0.0
        if before.current != self.value.current or before.head != self.value.head:
            self._follow()
        current = self.value.current
        if (
            old is not None
            and current is not None
            and scroll == self._scroll
            and old.rows == self._layout.rows
            and _but_current(before) == _but_current(self.value)
        ):
            row = self._layout.rows[current]
            room = QRectF(0, row.top() - scroll - 2, self.width() / self.look.s, row.height() + 4)
            self.update(pixels(room, self.look.s))
        else:
            self.update()

    def dress(self, look: Look) -> None:
        """Another palette or scale is another layout."""
        super().dress(look)
        self._layout = None
        self.update()

    def resizeEvent(self, event: object) -> None:
        """Another size is another layout."""
        self._layout, self._scroll = self._lay_out(), 0.0
        self._follow()

    def _lay_out(self) -> SheetLayout:
        shown = self.value
        todo = sum(line.ink in {Ink.TO_DO, Ink.PENCIL} for line in shown.lines)
        count = len({line.number for line in shown.lines})
        sheet = Sheet(
            head=shown.head,
            found_title=_("Found"),
            found_hint=shown.hint
            or (_("writes itself as you test") if todo else _("{n} of {n} done").format(n=count)),
            lines=shown.lines,
            current=shown.current,
            sections=(
                Section(title=_("Did"), texts=shown.did),
                Section(title=_("Proved"), texts=shown.proved),
                Section(
                    title=_("Not proved"),
                    texts=shown.not_proved or ((_("Nothing left open"),) if shown.closed else ()),
                    solid=False,
                ),
            ),
        )
        return lay_out_sheet(sheet, self.width() / self.look.s, self.look.palette)

    def _follow(self) -> None:
        """Scroll no more than the line at work needs."""
        if self._layout is not None:
            view = self.height() / self.look.s
            self._scroll = self._layout.scroll_for(self.value.current, view, self._scroll)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The laid-out sheet."""
        if self._layout is None:
            self._layout = self._lay_out()
            self._follow()
        paint_sheet_layout(painter, room, self._layout, palette, scroll=self._scroll)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Look up and down the slip; it comes back to the line at work with the next step."""
        if self._layout is None:
            return
        most = max(0.0, self._layout.height - self.height() / self.look.s)
        self._scroll = min(most, max(0.0, self._scroll - event.angleDelta().y() / 2.0))
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click on a line."""
        if self._layout is None or event.button() != Qt.MouseButton.LeftButton:
            return
        at = event.position() / self.look.s
        for line, row in zip(self.value.lines, self._layout.rows, strict=False):
            if row.translated(0.0, -self._scroll).contains(at):
                self.pressed.emit(line.number)
                return


def _but_current(shown: SlipShown) -> SlipShown:
    """The slip without its line at work."""
    kept = tuple(line for i, line in enumerate(shown.lines) if i != shown.current)
    return replace(shown, lines=kept)


def _line_words(line: Line) -> str:
    parts = (line.name, line.value or line.words, line.doubt, line.verdict_text, *line.notes)
    return f"{line.number} " + " ".join(t for t in parts if t)
