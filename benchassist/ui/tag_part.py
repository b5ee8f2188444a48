"""The parts of the tags' page: the first page of labels, the sizes to choose from."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.core.label_stock import TagJob, pages_of, place_of
from benchassist.paint.palette import Palette
from benchassist.services.bench.view import Choice
from benchassist.services.translation import _
from benchassist.ui.choice_box import INSET, ChoiceBox
from benchassist.ui.field_box import LABEL
from benchassist.ui.lettering import columns_of
from benchassist.ui.part import Part

AROUND = 24.0
MOST_SCALE = 7.0
"""Units a millimetre: a single label is shown large, not as large as the page."""


class LabelPreview(Part[TagJob | None]):
    """The first page that will be printed, with the edges of its labels."""

    chosen = Signal(int)
    """The position of a label that was clicked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(None, parent)

    def words(self) -> str:
        """The tags on it, each once."""
        job = self.value
        if job is None:
            return _("Nothing to print")
        return ", ".join(dict.fromkeys(f"{tag.code} {tag.words}".strip() for tag in job.tags))

    def _sheet(self, job: TagJob, room: QRectF) -> tuple[QRectF, float]:
        """Where the page is, and how many units a millimetre has there."""
        stock = job.stock
        wide, high = stock.page_width_mm, stock.page_height_mm
        free = room.adjusted(AROUND, AROUND, -AROUND, -AROUND)
        scale = min(free.width() / wide, free.height() / high, MOST_SCALE)
        sheet = QRectF(0.0, 0.0, wide * scale, high * scale)
        sheet.moveCenter(free.center())
        return sheet, scale

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """White paper on kraft."""
        from benchassist.paint.tag_sheet import paint_label_edges, paint_tag_page

        painter.fillRect(room, QColor(palette.kraft))
        job = self.value
        if job is None:
            return
        sheet, scale = self._sheet(job, room)
        painter.fillRect(sheet, QColor("#FFFFFF"))
        painter.save()
        painter.translate(sheet.topLeft())
        painter.scale(scale, scale)
        paint_label_edges(painter, job, "#9AA1A6")
        paint_tag_page(painter, job.stock, pages_of(job)[0])
        painter.restore()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click on a label."""
        job, s = self.value, self.look.s
        if job is None or event.button() != Qt.MouseButton.LeftButton:
            return
        sheet, scale = self._sheet(job, QRectF(0, 0, self.width() / s, self.height() / s))
        at = (event.position() / s - sheet.topLeft()) / scale
        for position in range(1, job.stock.count + 1):
            place = place_of(job.stock, position)
            label = QRectF(place.x_mm, place.y_mm, job.stock.width_mm, job.stock.height_mm)
            if label.contains(at):
                self.chosen.emit(position)
                return


class LabelGrid(ChoiceBox):
    """The sizes in two columns."""

    def places(self, items: Sequence[Choice], room: QRectF) -> Sequence[QRectF | None]:
        """Row by row."""
        inner = room.adjusted(INSET, LABEL + INSET, -INSET, -INSET)
        rows = max(1, -(-len(items) // 2))
        high = (inner.height() - (rows - 1) * INSET) / rows
        across = columns_of(QRectF(inner.left(), inner.top(), inner.width(), high), 2, INSET)
        return [across[i % 2].translated(0, i // 2 * (high + INSET)) for i in range(len(items))]
