"""The meter card on paper: its ranges with their doubt, and the lead zero."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.bench.view import Number, NumberState
from benchassist.services.desk import MetersView, RangeRow
from benchassist.services.translation import _
from benchassist.ui.cap import cap_width, paint_cap, paper_cap
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.paper import paint_paper
from benchassist.ui.part import Part

NO_METER = MetersView(number=Number(state=NumberState.NO_METER))
LEADS_HIGH = 132.0


class MeterCardSheet(Part[MetersView]):
    """The left panel of the meters page. Only what it shows counts as a change."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._with_leads = True
        super().__init__(NO_METER, parent)

    def show_leads(self, *, shown: bool) -> None:
        """Whether the lead zero is on the card; a thermometer has none."""
        self._with_leads = shown
        self.setAccessibleName(self.words())
        self.update()

    def put(self, value: MetersView) -> None:
        """Leave the live number aside: it is not on the card."""
        super().put(
            MetersView(
                number=NO_METER.number,
                card_title=value.card_title,
                card_source=value.card_source,
                card_note=value.card_note,
                ranges=value.ranges,
                leads_value=value.leads_value,
                leads_unit=value.leads_unit,
                leads_when=value.leads_when,
                leads_note=value.leads_note,
                leads_error=value.leads_error,
            )
        )

    def words(self) -> str:
        """Name, source, every range, the lead zero."""
        view = self.value
        rows = [f"{r.range_text}: {r.doubt_text}" for r in view.ranges]
        leads = (f"{view.leads_value} {view.leads_unit}".strip(), view.leads_note)
        parts = (view.card_title, view.card_source, *rows, *(leads if self._with_leads else ()))
        return ". ".join(t for t in parts if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Heading, table, note, lead zero at the foot."""
        view = self.value
        inner = paint_paper(painter, room, palette)
        dim = Style(px=15, weight=400, color=palette.dim)
        head = QRectF(inner.left(), inner.top(), inner.width(), 28)
        right = Style(px=15, weight=400, color=palette.dim, align=RIGHT)
        taken = row(painter, head, _("goes with every slip"), right)
        title = Style(px=22, weight=800, color=palette.ink)
        row(painter, head.adjusted(0, 0, -taken.width() - 12, 0), _("Meter card"), title)
        y = head.bottom()
        name = Style(px=18, weight=700, color=palette.ink)
        card = view.card_title or _("No meter card: 2 % + 5 counts is assumed")
        row(painter, QRectF(inner.left(), y, inner.width(), 25), card, name)
        row(painter, QRectF(inner.left(), y + 25, inner.width(), 21), view.card_source, dim)
        y += 56
        foot = room.bottom() - (LEADS_HIGH if self._with_leads else 8.0)
        y = self._paint_table(painter, QRectF(inner.left(), y, inner.width(), foot - y), palette)
        note = QRectF(inner.left(), y + 8, inner.width(), max(0.0, foot - y - 14))
        text = view.card_note or _(
            "Doubt = percent of the reading, plus that many counts of the last digit. "
            "It sets how wide every lozenge is."
        )
        if note.height() > 38:
            paragraph(painter, note, text, dim, least=13)
        if self._with_leads:
            leads = QRectF(inner.left(), foot, inner.width(), LEADS_HIGH)
            self._paint_leads(painter, leads, palette)

    def _paint_table(self, painter: QPainter, room: QRectF, palette: Palette) -> float:
        heads = (_("Range"), _("Steps of"), _("Doubt"), _("For example"))
        ink = palette.ink
        bold = Style(px=15, weight=700, color=ink)
        self._paint_row(painter, room.top(), room, heads, (bold, bold, bold, bold))
        y = room.top() + 26
        painter.fillRect(QRectF(room.left(), y, room.width(), 2), QColor(ink))
        y += 2
        rows = self.value.ranges
        high = min(36.0, max(25.0, (room.bottom() - y - 56) / max(1, len(rows))))
        plain = Style(px=16, weight=400, color=ink)
        styles = (
            Style(px=16, weight=700, color=ink),
            Style(px=16, weight=400, color=palette.dim),
            plain,
            plain,
        )
        for shown in rows[: int((room.bottom() - y) / high)]:
            self._paint_row(painter, y + (high - 26) / 2, room, _texts(shown), styles)
            y += high
            painter.fillRect(QRectF(room.left(), y - 1, room.width(), 1), QColor(palette.rule))
        return y

    def _paint_row(
        self,
        painter: QPainter,
        y: float,
        room: QRectF,
        texts: tuple[str, ...],
        styles: tuple[Style, ...],
    ) -> None:
        wide = room.width()
        starts = (0.0, 0.20, 0.39, 0.60)
        ends = (0.19, 0.38, 0.61, 1.0)
        for i, (text, style) in enumerate(zip(texts, styles, strict=True)):
            where = QRectF(room.left() + starts[i] * wide, y, (ends[i] - starts[i]) * wide, 26)
            last = i == len(texts) - 1
            as_set = Style(px=style.px, weight=style.weight, color=style.color, align=float(last))
            row(painter, where, text, as_set, least=12)

    def _paint_leads(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        view = self.value
        bold = Style(px=17, weight=700, color=palette.ink)
        dim = Style(px=15, weight=400, color=palette.dim)
        head = QRectF(room.left(), room.top(), room.width(), 24)
        row(painter, head, _("Leads zero"), bold)
        row(painter, head, view.leads_when, Style(px=15, color=palette.dim, align=RIGHT))
        painter.fillRect(QRectF(room.left(), room.top() + 26, room.width(), 2), QColor(palette.ink))
        value = Style(px=40, weight=800, color=palette.ink)
        where = QRectF(room.left(), room.top() + 34, room.width() * 0.5, 52)
        taken = row(painter, where, view.leads_value or "– –", value)
        unit = QRectF(taken.left() + taken.width() + 12, where.top() + 8, 60, 52)
        row(painter, unit, view.leads_unit, Style(px=22, weight=600, color=palette.dim))
        right = QRectF(room.left() + 0.5 * room.width(), room.top() + 34, 0.5 * room.width(), 24)
        style = Style(px=16, weight=400, color=palette.ink, align=RIGHT)
        row(painter, right, _("Touch probes together,"), style)
        wide = cap_width("Z", 30)
        cap = QRectF(right.right() - wide, right.bottom() + 2, wide, 30)
        paint_cap(painter, cap, "Z", paper_cap(palette))
        words = QRectF(right.left(), cap.top(), cap.left() - right.left() - 8, 30)
        row(painter, words, _("then press"), style)
        below = QRectF(room.left(), room.top() + 92, room.width(), 34)
        if view.leads_error:
            wrong = Style(px=16, weight=700, color=palette.out_text)
            paragraph(painter, below, view.leads_error, wrong, least=12)
        else:
            row(painter, below.adjusted(0, 0, 0, -10), view.leads_note, dim)


def _texts(shown: RangeRow) -> tuple[str, ...]:
    return (shown.range_text, shown.steps_text, shown.doubt_text, shown.example_text)
