"""The room of the repair: what was fitted and done, the acceptance run, what may be said of it."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath
from PySide6.QtWidgets import QWidget

from benchassist.core.claim import Claim
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import NO_BRUSH, pen, shape
from benchassist.services.findings.view import ClaimRow, FindingsView, ProofRow, RepairCard
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.findings_room import GAP, FindingsRoom, paint_heading
from benchassist.ui.findings_text import Piece, paint_column
from benchassist.ui.lettering import RIGHT, Style, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part

PROOF = 62.0
CLAIM = 60.0


class RepairWork(Part[RepairCard]):
    """Parts, service, pairs, set-up: one section each."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(RepairCard(), parent)

    def _sections(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        card = self.value
        return (
            (_("Fitted"), card.fitted),
            (_("Service"), card.serviced),
            (_("Before and after"), card.pairs),
            (_("Set up"), card.set_up),
        )

    def words(self) -> str:
        """Every section with its lines."""
        return ". ".join(
            f"{name}: {'; '.join(texts) or _('nothing')}" for name, texts in self._sections()
        )

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One column of sections; empty ones say so."""
        paint_panel(painter, room, palette)
        head = Style(px=16, weight=700, color=palette.dim)
        said = Style(px=19, weight=500, color=palette.ink)
        quiet = Style(px=17, weight=400, color=palette.faint)
        pieces: list[Piece] = []
        for name, texts in self._sections():
            pieces.append(Piece(text=name, style=head, above=12.0, least=14))
            pieces += [Piece(text=text, style=said, above=2.0) for text in texts]
            if not texts:
                pieces.append(Piece(text=_("Nothing yet"), style=quiet, above=1.0))
        paint_column(painter, room.adjusted(18, 12, -18, -12), tuple(pieces))


class RepairProof(Part[RepairCard]):
    """The acceptance run: a bar for everything that is asked, then what is missing."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(RepairCard(), parent)

    def words(self) -> str:
        """Each bar in words, and what is missing."""
        card = self.value
        rows = (_proof_words(one) for one in card.proof)
        return ". ".join(t.rstrip(".") for t in (card.proof_title, *rows, *card.missing) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Bars, then sentences."""
        card = self.value
        paint_panel(painter, room, palette)
        inner = room.adjusted(18, 12, -18, -12)
        title = card.proof_title or _("Acceptance run")
        y = paint_heading(painter, inner, title, palette)
        high = min(PROOF, 0.62 * inner.height() / max(1, len(card.proof)))
        for one in card.proof:
            _paint_proof(painter, QRectF(inner.left(), y, inner.width(), high), one, palette)
            y += high
        said = Style(px=19, weight=500, color=palette.ink)
        missing = card.missing or ((_("Nothing is missing"),) if card.proof else ())
        lead = _("Missing:") if card.missing else ""
        pieces = [Piece(text="", lead=lead, style=said)] if lead else []
        pieces += [Piece(text=text, style=said, above=2.0) for text in missing]
        below = QRectF(inner.left(), y + 6, inner.width(), inner.bottom() - y - 6)
        paint_column(painter, below, tuple(pieces))


def _proof_words(one: ProofRow) -> str:
    done = _("done") if one.done else _("not yet")
    return f"{one.name}: {one.have} / {one.need}, {done}"


def _paint_proof(painter: QPainter, room: QRectF, one: ProofRow, palette: Palette) -> None:
    """Name and how much above, the bar below; a full one has a tick mark at its end."""
    head = QRectF(room.left(), room.top() + 2, room.width(), 26)
    have = Style(px=20, weight=800, color=palette.ink, align=RIGHT)
    need = Style(px=17, weight=400, color=palette.dim, align=RIGHT)
    taken = row(painter, head, f" / {one.need}", need)
    more = row(painter, head.adjusted(0, 0, -taken.width() - 2, 0), one.have, have)
    name = Style(px=19, weight=600, color=palette.ink)
    left = head.adjusted(0, 0, -taken.width() - more.width() - 16, 0)
    row(painter, left, one.name, name, least=13)
    bar = QRectF(room.left(), head.bottom() + 4, room.width() - 34, 14)
    painter.setPen(pen(palette.ink, 2.0))
    painter.setBrush(NO_BRUSH)
    painter.drawRect(bar.adjusted(1, 1, -1, -1))
    share = min(1.0, max(0.0, one.share))
    if share > 0.0:
        painter.fillRect(
            QRectF(bar.left(), bar.top(), share * bar.width(), bar.height()), QColor(palette.ink)
        )
    if one.done:
        paint_tick(painter, QRectF(bar.right() + 8, bar.top() - 4, 24, 22), palette)


def paint_tick(painter: QPainter, room: QRectF, palette: Palette) -> None:
    """A tick: asked for and there."""
    path = QPainterPath()
    path.moveTo(room.left() + 2, room.center().y())
    path.lineTo(room.left() + 0.38 * room.width(), room.bottom() - 3)
    path.lineTo(room.right() - 2, room.top() + 3)
    shape(painter, path, stroke=pen(palette.ink, 4.0))


class Claims(Part[tuple[ClaimRow, ...]]):
    """What may be said: the word with its box, what it stands on, why no stronger one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)

    def words(self) -> str:
        """Every claim."""
        return " ".join(
            f"{one.claim_text}: {one.name}. {one.grounds} {one.limit}".strip() for one in self.value
        )

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One row each under its heading."""
        y = paint_heading(painter, room, _("What may be said"), palette)
        if not self.value:
            return
        high = min(CLAIM, (room.height() - y) / len(self.value))
        for one in self.value:
            place = QRectF(room.left(), y, room.width(), high)
            _paint_claim(painter, place, one, palette)
            y += high


def _paint_claim(painter: QPainter, room: QRectF, one: ClaimRow, palette: Palette) -> None:
    sign = QRectF(room.left() + 2, room.top() + 8, 20, 20)
    paint_claim_box(painter, sign, one.claim, palette)
    strong = Style(px=20, weight=800, color=palette.ink)
    word = QRectF(room.left() + 34, room.top() + 4, 0.36 * room.width(), 28)
    row(painter, word, one.claim_text, strong)
    name = QRectF(room.left() + 34, room.top() + 30, 0.27 * room.width() - 34, room.height() - 32)
    said = Style(px=17, weight=500, color=palette.ink)
    paint_column(painter, name, (Piece(text=one.name, style=said, least=13),))
    left = room.left() + 0.28 * room.width()
    words = QRectF(left, room.top() + 6, room.right() - left, room.height() - 8)
    quiet = Style(px=17, weight=400, color=palette.dim)
    paint_column(
        painter,
        words,
        (Piece(text=one.grounds, style=said), Piece(text=one.limit, style=quiet, above=1.0)),
    )


def paint_claim_box(painter: QPainter, box: QRectF, claim: Claim, palette: Palette) -> None:
    """Filled for confirmed, half filled for probable, open for precautionary."""
    filled = {Claim.CONFIRMED: 1.0, Claim.PROBABLE: 0.5}.get(claim, 0.0)
    if filled:
        part = QRectF(
            box.left(), box.bottom() - filled * box.height(), box.width(), filled * box.height()
        )
        painter.fillRect(part, QColor(palette.ink))
    painter.setPen(pen(palette.ink, 2.4))
    painter.setBrush(NO_BRUSH)
    painter.drawRect(box.adjusted(1.2, 1.2, -1.2, -1.2))


class RepairRoom(FindingsRoom):
    """The repair and its verification."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.work = RepairWork(self)
        self.proof = RepairProof(self)
        self.claims = Claims(self)
        self.parts = (self.work, self.proof, self.claims)

    def heading(self, view: FindingsView) -> Heading:
        """The repair."""
        return Heading(_("Repair and proof"), "")

    def put_view(self, view: FindingsView, cursor: int) -> None:
        """Work, proof, claims."""
        self.work.put(view.repair)
        self.proof.put(view.repair)
        self.claims.put(view.claims)
        self.place()

    def place(self) -> None:
        """Work left, proof right, claims below both."""
        wide, high = self.units
        claims = self.claims.value
        foot = min(0.42 * high, 30.0 + CLAIM * len(claims)) if claims else 0.0
        body = high - (foot + GAP if foot else 0.0)
        left = 0.52 * (wide - GAP)
        self.put_at(self.work, Place(0, 0, left, body))
        self.put_at(self.proof, Place(left + GAP, 0, wide - left - GAP, body))
        self.put_at(self.claims, Place(0, high - foot, wide, foot) if claims else None)
