"""Renders every state of every drawing to a folder, to be looked at: gallery.py FOLDER."""

import sys
from dataclasses import replace
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QGuiApplication, QImage, QPainter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from benchassist.core.band import Side, Verdict
from benchassist.paint.band_ruler import HEIGHT, HEIGHT_WITH_LEGEND, paint_band_ruler
from benchassist.paint.font import load_fonts
from benchassist.paint.glyph import *
from benchassist.paint.jaws import JawLook, paint_jaws
from benchassist.paint.mini_ruler import paint_mini_ruler
from benchassist.paint.palette import DARK, LIGHT, PRINT, Palette
from benchassist.paint.sketch import paint_machine, paint_sketch, sketch_keys
from benchassist.paint.strip_plot import paint_strip_plot
from benchassist.core.slip import Paper
from benchassist.paint.slip_page import paint_slip_page
from benchassist.paint.slip_panel import paint_slip_panel
from benchassist.paint.slip_printer import QtSlipPrinter
from tests.paint import specimen

PALETTES = {"light": LIGHT, "dark": DARK, "print": PRINT}


def picture(
    path: Path, width: int, height: int, paint: Callable[[QPainter], None], *, ground: str
) -> None:
    """Write one PNG."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor(ground))
    painter = QPainter(image)
    paint(painter)
    painter.end()
    if not image.save(str(path)):
        sys.exit(f"cannot write {path}")


def rulers(folder: Path) -> None:
    """All rulers, full and mini."""
    step = 165
    for name, palette in PALETTES.items():

        def paint(painter: QPainter, palette: Palette = palette) -> None:
            for row, ruler in enumerate(specimen.RULERS.values()):
                y = row * step
                painter.fillRect(QRectF(0, y + 2, 826, 154), QColor(palette.panel))
                rect = QRectF(17, y + 6, 792, HEIGHT_WITH_LEGEND)
                paint_band_ruler(painter, rect, ruler, palette)
                mini = QRectF(860, y + 30, 176, 34 if ruler.before is not None else 22)
                paint_mini_ruler(painter, mini, ruler, palette)
                mini = QRectF(860, y + 80, 300, 44 if ruler.before is not None else 28)
                paint_mini_ruler(painter, mini, ruler, palette)

        height = step * len(specimen.RULERS)
        picture(folder / f"rulers-{name}.png", 1200, height, paint, ground=palette.paper)


def signs(folder: Path) -> None:
    """Glyphs and jaws."""
    for name, palette in PALETTES.items():

        def paint(painter: QPainter, palette: Palette = palette) -> None:
            cases = [(v, None) for v in Verdict if v is not Verdict.OUT_OF_BAND]
            cases += [(Verdict.OUT_OF_BAND, Side.LOW), (Verdict.OUT_OF_BAND, Side.HIGH)]
            for row, (verdict, side) in enumerate(cases):
                x = 10
                for scale in (0.75, 1, 2.2, 4):
                    rect = QRectF(x, 10 + row * 90, 48 * scale, 20 * scale)
                    paint_verdict_glyph(painter, rect, verdict, side, palette)
                    x += 48 * scale + 20
            jaw_cases = [(0.0, JawLook.LIVE), (0.6, JawLook.LIVE), (1.0, JawLook.LIVE)]
            jaw_cases += [(1.0, JawLook.HATCHED), (0.0, JawLook.EMPTY), (0.0, JawLook.BAR)]
            for row, (closure, look) in enumerate(jaw_cases):
                rect = QRectF(460, 10 + row * 50, 506, 20)
                words = "by hand: jaws don’t apply"
                paint_jaws(painter, rect, closure, palette, look=look, words=words)
            painter.fillRect(QRectF(460, 320, 520, 320), QColor(palette.bar))
            for column, scale in enumerate((1, 3)):
                x, y = 480 + column * 120, 340
                paint_logo(painter, QRectF(x, y, 44 * scale, 22 * scale), palette)
                y += 80
                paint_meter(painter, QRectF(x, y, 38 * scale, 16 * scale), palette.bar_text)
                y += 60
                rect = QRectF(x, y, 38 * scale, 16 * scale)
                paint_meter(painter, rect, palette.bar_dim, linked=False)
                y += 60
                paint_pedal(painter, QRectF(x, y, 26 * scale, 15 * scale), palette.bar_text)
            for column, degrees in enumerate((0, 90, 180, 270)):
                rect = QRectF(760 + column * 40, 340, 22, 22)
                paint_arrow(painter, rect, palette.bar_text, degrees=degrees)
            paint_pencil(painter, QRectF(460, 650, 20, 20), palette.ink, palette.paper)
            paint_pencil(painter, QRectF(500, 650, 80, 80), palette.ink, palette.paper)
            paint_magnifier(painter, QRectF(600, 650, 36, 36), palette.ink)
            paint_magnifier(painter, QRectF(660, 650, 90, 90), palette.ink)

        picture(folder / f"signs-{name}.png", 1000, 760, paint, ground=palette.panel)


def sketches(folder: Path) -> None:
    """Every sketch, whole and squeezed, and large for looking closely."""
    for name, palette in PALETTES.items():
        for kind, size in (("", (288, 224)), ("-squeezed", (288, 176)), ("-large", (576, 448))):
            if kind == "-large" and name != "light":
                continue
            columns = 3 if kind == "-large" else 5

            def paint(
                painter: QPainter, palette: Palette = palette, size=size, columns=columns
            ) -> None:
                for place, key in enumerate([*sketch_keys(), "machine"]):
                    x = 10 + (size[0] + 10) * (place % columns)
                    y = 10 + (size[1] + 10) * (place // columns)
                    rect = QRectF(x, y, *size)
                    painter.fillRect(rect, QColor(palette.panel))
                    if key == "machine":
                        paint_machine(painter, rect.adjusted(40, 40, -40, -40), palette)
                    else:
                        paint_sketch(painter, rect, key, specimen.LABELS[key], palette)

            rows = -(-(len(sketch_keys()) + 1) // columns)
            width, height = 10 + (size[0] + 10) * columns, 10 + (size[1] + 10) * rows
            path = folder / f"sketches-{name}{kind}.png"
            picture(path, width, height, paint, ground=palette.well)


def strips(folder: Path) -> None:
    """The last minute of readings."""
    for name, palette in PALETTES.items():

        def paint(painter: QPainter, palette: Palette = palette) -> None:
            for row, strip in enumerate(specimen.STRIPS.values()):
                rect = QRectF(17, 10 + 150 * row, 792, 130)
                painter.fillRect(rect, QColor(palette.panel))
                marks = ((-60.0, "60 s ago"), (-30.0, "30 s ago"), (0.0, "now"))
                paint_strip_plot(painter, rect, strip, palette, marks=marks)

        height = 20 + 150 * len(specimen.STRIPS)
        picture(folder / f"strips-{name}.png", 826, height, paint, ground=palette.bench)


def slips(folder: Path) -> None:
    """The slip beside the bench at two window sizes, and the printed page."""
    for name, palette in (("light", LIGHT), ("dark", DARK)):
        for scale in (1.0, 1080 / 768):
            for kind, sheet, scroll in (
                ("begun", specimen.SHEET, 0.0),
                ("full", specimen.FULL_SHEET, 0.0),
                ("scrolled", specimen.FULL_SHEET, 560.0),
            ):
                size = round(492 * scale), round(664 * scale)

                def paint(painter: QPainter) -> None:
                    rect = QRectF(0, 0, *size)
                    paint_slip_panel(painter, rect, sheet, palette, scroll=scroll, scale=scale)

                path = folder / f"panel-{name}-{kind}-{round(768 * scale)}.png"
                picture(path, *size, paint, ground="#FF00FF")
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
    app = QGuiApplication(["gallery", "-platform", "offscreen"])
    load_fonts()
    rulers(folder)
    signs(folder)
    sketches(folder)
    strips(folder)
    slips(folder)
    app.quit()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
