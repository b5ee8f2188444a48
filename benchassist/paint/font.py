"""Bench Sans, the one family on screen and paper, from the files beside this module.

Tabular figures are its default, the zero is slashed, Ω and µ are in it; arrows are drawn instead.
"""

from functools import cache
from importlib.resources import as_file, files

from PySide6.QtGui import QFont, QFontDatabase

FAMILY = "Bench Sans"
WEIGHTS = (400, 500, 600, 700, 800)


@cache
def load_fonts() -> None:
    """Give Qt the five weights, once. Needs a QGuiApplication.

    Raises FileNotFoundError if the installation lacks a font file.
    """
    folder = files("benchassist.paint") / "fonts"
    for weight in WEIGHTS:
        with as_file(folder / f"BenchSans-{weight}.ttf") as path:
            if QFontDatabase.addApplicationFont(str(path)) < 0:
                raise FileNotFoundError(path)


def font(px: int, weight: int = 500) -> QFont:
    """The font `px` pixels high, unhinted, so that it measures the same at every scale."""
    load_fonts()
    made = QFont(FAMILY)
    made.setPixelSize(px)
    made.setWeight(QFont.Weight(weight))
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return made
