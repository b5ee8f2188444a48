"""Renders every state of every drawing, to be looked at: python -m tests.paint.gallery FOLDER."""

import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QGuiApplication, QImage, QPainter

from benchassist.core.band import Side, Verdict
from benchassist.core.slip import Paper
from benchassist.paint.band_ruler import HEIGHT_WITH_LEGEND, paint_band_ruler
from benchassist.paint.font import load_fonts
from benchassist.paint.glyph import (
    paint_arrow,
    paint_logo,
    paint_magnifier,
    paint_meter,
    paint_pedal,
    paint_pencil,
    paint_verdict_glyph,
)
from benchassist.paint.jaws import JawLook, paint_jaws
from benchassist.paint.mini_ruler import paint_mini_ruler
from benchassist.paint.palette import DARK, LIGHT, PRINT, Palette
from benchassist.paint.sketch import paint_machine, paint_sketch, sketch_keys
from benchassist.paint.slip_panel import Sheet, paint_slip_panel
from benchassist.paint.slip_printer import QtSlipPrinter
from benchassist.paint.strip_plot import paint_strip_plot
from tests.paint import specimen

PALETTES = {"light": LIGHT, "dark": DARK, "print": PRINT}
GLYPHS = [
    *((verdict, None) for verdict in Verdict if verdict is not Verdict.OUT_OF_BAND),
    (Verdict.OUT_OF_BAND, Side.LOW),
    (Verdict.OUT_OF_BAND, Side.HIGH),
]
JAWS = (
    (0.0, JawLook.LIVE),
    (0.6, JawLook.LIVE),
    (1.0, JawLook.LIVE),
    (1.0, JawLook.HATCHED),
    (0.0, JawLook.EMPTY),
    (0.0, JawLook.BAR),
)


def picture(
    path: Path, size: tuple[int, int], paint: Callable[[QPainter], None], *, ground: str
) -> None:
    """Write one PNG."""
    image = QImage(*size, QImage.Format.Format_RGB32)
    image.fill(QColor(ground))
    painter = QPainter(image)
    paint(painter)
    painter.end()
    if not image.save(str(path)):
        sys.exit(f"cannot write {path}")


def rulers(painter: QPainter, palette: Palette) -> None:
    """All rulers: full, mini as on screen, mini as in print."""
    for row, ruler in enumerate(specimen.RULERS.values()):
        y = 165 * row
        painter.fillRect(QRectF(0, y + 2, 826, 154), QColor(palette.panel))
        paint_band_ruler(painter, QRectF(17, y + 6, 792, HEIGHT_WITH_LEGEND), ruler, palette)
        before = ruler.before is not None
        paint_mini_ruler(painter, QRectF(860, y + 30, 176, 34 if before else 22), ruler, palette)
        paint_mini_ruler(painter, QRectF(860, y + 80, 300, 44 if before else 28), ruler, palette)


def signs(painter: QPainter, palette: Palette) -> None:
    """Glyphs at four sizes, jaws, and the small pictures."""
    for row, (verdict, side) in enumerate(GLYPHS):
        x = 10.0
        for scale in (0.75, 1.0, 2.2, 4.0):
            rect = QRectF(x, 10 + row * 90, 48 * scale, 20 * scale)
            paint_verdict_glyph(painter, rect, verdict, side, palette)
            x += 48 * scale + 20
    for row, (closure, look) in enumerate(JAWS):
        rect = QRectF(460, 10 + row * 50, 506, 20)
        paint_jaws(painter, rect, closure, palette, look=look, words="by hand: jaws don’t apply")
    painter.fillRect(QRectF(460, 320, 520, 320), QColor(palette.bar))
    for column, scale in enumerate((1, 3)):
        x = 480.0 + column * 120
        paint_logo(painter, QRectF(x, 340, 44 * scale, 22 * scale), palette)
        paint_meter(painter, QRectF(x, 420, 38 * scale, 16 * scale), palette.bar_text)
        rect = QRectF(x, 480, 38 * scale, 16 * scale)
        paint_meter(painter, rect, palette.bar_dim, linked=False)
        paint_pedal(painter, QRectF(x, 540, 26 * scale, 15 * scale), palette.bar_text)
        paint_pencil(painter, QRectF(x, 650, 25 * scale, 25 * scale), palette.ink, palette.paper)
        paint_magnifier(painter, QRectF(x + 200, 650, 30 * scale, 30 * scale), palette.ink)
    for column, degrees in enumerate((0, 90, 180, 270)):
        rect = QRectF(760 + column * 40, 340, 22, 22)
        paint_arrow(painter, rect, palette.bar_text, degrees=degrees)


def sketches(painter: QPainter, palette: Palette, size: tuple[int, int], columns: int) -> None:
    """Every sketch, and the machine."""
    for place, key in enumerate([*sketch_keys(), "machine"]):
        x = 10 + (size[0] + 10) * (place % columns)
        y = 10 + (size[1] + 10) * (place // columns)
        rect = QRectF(x, y, *size)
        painter.fillRect(rect, QColor(palette.panel))
        if key == "machine":
            paint_machine(painter, rect.adjusted(40, 40, -40, -40), palette)
        else:
            paint_sketch(painter, rect, key, specimen.LABELS[key], palette)


def strips(painter: QPainter, palette: Palette) -> None:
    """The last minute of readings."""
    marks = ((-60.0, "60 s ago"), (-30.0, "30 s ago"), (0.0, "now"))
    for row, strip in enumerate(specimen.STRIPS.values()):
        rect = QRectF(17, 10 + 150 * row, 792, 130)
        painter.fillRect(rect, QColor(palette.panel))
        paint_strip_plot(painter, rect, strip, palette, marks=marks)


def panel(painter: QPainter, palette: Palette, sheet: Sheet, scroll: float, scale: float) -> None:
    """The slip beside the bench."""
    rect = QRectF(0, 0, 492 * scale, 664 * scale)
    paint_slip_panel(painter, rect, sheet, palette, scroll=scroll, scale=scale)


def slips(folder: Path) -> None:
    """The slip beside the bench at two window sizes, and as a printed page."""
    for name, palette in (("light", LIGHT), ("dark", DARK)):
        for scale in (1.0, 1080 / 768):
            size = round(492 * scale), round(664 * scale)
            for kind, sheet, scroll in (
                ("begun", specimen.SHEET, 0.0),
                ("full", specimen.FULL_SHEET, 0.0),
                ("scrolled", specimen.FULL_SHEET, 560.0),
            ):
                path = folder / f"panel-{name}-{kind}-{round(768 * scale)}.png"
                paint = partial(panel, palette=palette, sheet=sheet, scroll=scroll, scale=scale)
                picture(path, size, paint, ground="#FF00FF")
    for kind, slip in (
        ("usual", specimen.SLIP),
        ("long", specimen.full_slip(20, 6)),
        ("draft", replace(specimen.SLIP, draft_text="Not closed yet", pairs=())),
    ):
        for paper in Paper:
            QtSlipPrinter().write_pdf(slip, folder / f"slip-{kind}-{paper}.pdf", paper=paper)


def main(folder: Path) -> None:
    """Everything."""
    folder.mkdir(parents=True, exist_ok=True)
    application = QGuiApplication(["gallery", "-platform", "offscreen"])
    load_fonts()
    for name, palette in PALETTES.items():

        def write(
            kind: str,
            size: tuple[int, int],
            paint: Callable[[QPainter], None],
            ground: str,
            name: str = name,
        ) -> None:
            picture(folder / f"{kind}-{name}.png", size, paint, ground=ground)

        write("rulers", (1200, 1815), partial(rulers, palette=palette), palette.paper)
        write("signs", (1000, 760), partial(signs, palette=palette), palette.panel)
        write("strips", (826, 770), partial(strips, palette=palette), palette.bench)
        for kind, size, columns in (
            ("sketches", (288, 224), 5),
            ("sketches-squeezed", (288, 176), 5),
            ("sketches-large", (576, 448), 3),
        ):
            rows = -(-(len(sketch_keys()) + 1) // columns)
            whole = 10 + (size[0] + 10) * columns, 10 + (size[1] + 10) * rows
            paint = partial(sketches, palette=palette, size=size, columns=columns)
            write(kind, whole, paint, palette.well)
    slips(folder)
    application.quit()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
