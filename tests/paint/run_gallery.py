"""Every plot of a run at every size, to be looked at: python -m tests.paint.run_gallery FOLDER."""

import sys
from pathlib import Path

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QGuiApplication, QImage, QPainter

from benchassist.paint.palette import DARK, LIGHT, PRINT, Palette
from benchassist.paint.run_plot import Cursor, draw_run_plot
from tests.paint.run_specimen import PLOTS

GAP = 20
SIZES = {
    "768": (560, 310, 1.0),
    "1080": (900, 436, 1080 / 768),
    "strip": (674, 170, 1.0),
    "paper": (1890, 531, 2.0),
}
CURSOR = Cursor(600.0, "10:00", ("7.43 kΩ", "66 °C"))


def sheet(path: Path, palette: Palette, size: tuple[int, int, float]) -> None:
    """All plots in two columns; the one with typed points has a cursor."""
    width, height, scale = size
    rows = -(-len(PLOTS) // 2)
    form = QImage.Format.Format_RGB32
    image = QImage(2 * (width + GAP), rows * (height + GAP), form)
    image.fill(QColor(palette.bench))
    painter = QPainter(image)
    for place, (name, plot) in enumerate(PLOTS.items()):
        x, y = (place % 2) * (width + GAP) + GAP // 2, (place // 2) * (height + GAP) + GAP // 2
        rect = QRectF(x, y, width, height)
        cursor = CURSOR if name == "typed" else None
        draw_run_plot(painter, rect, plot, palette, scale, cursor=cursor)
    painter.end()
    if not image.save(str(path)):
        sys.exit(f"cannot write {path}")


def main(folder: Path) -> None:
    """On screen light and dark, on paper in print."""
    folder.mkdir(parents=True, exist_ok=True)
    application = QGuiApplication(["gallery", "-platform", "offscreen"])
    for name, size in SIZES.items():
        palettes = {"print": PRINT} if name == "paper" else {"light": LIGHT, "dark": DARK}
        for tone, palette in palettes.items():
            sheet(folder / f"run-{tone}-{name}.png", palette, size)
    application.quit()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
