"""Where the probes go, as a drawing: one for each sketch key a profile may name."""

from collections.abc import Callable, Mapping

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

from benchassist.paint import sketch_circuit, sketch_coil, sketch_engine
from benchassist.paint.palette import Palette
from benchassist.paint.sketch_board import HEIGHT, WIDTH, Board
from benchassist.paint.stroke import Point, design, fitted

FALLBACK = "look"
_DRAWINGS: Mapping[str, tuple[Callable[[Board], None], tuple[str, ...]]] = {
    "cap": (sketch_coil.cap, ("lead_end", "plug_end")),
    "coil_primary": (sketch_coil.coil_primary, ("core", "tab")),
    "coil_secondary": (sketch_coil.coil_secondary, ("core", "lead_end")),
    "path": (sketch_coil.path, ("core", "cap_end")),
    "plug": (sketch_coil.plug, ("stud", "tip")),
    "plug_gap": (sketch_coil.plug_gap, ("gap", "gauge")),
    "stop_wire": (sketch_circuit.stop_wire, ("wire", "engine", "run")),
    "stop_switch": (sketch_circuit.stop_switch, ("wire", "engine", "off")),
    "oil_switch": (sketch_circuit.oil_switch, ("oil_wire", "engine", "oil")),
    "leads": (sketch_circuit.leads, ("together",)),
    "self_check": (sketch_circuit.self_check, ("resistor",)),
    "air_gap": (sketch_engine.air_gap, ("card", "coil", "magnet")),
    "spark_tester": (sketch_engine.spark_tester, ("gap", "cap", "ground")),
    "tachometer": (sketch_engine.tachometer, ("clamp", "rpm")),
    "look": (sketch_engine.look, ("look",)),
}


def sketch_keys() -> tuple[str, ...]:
    """Every key that has a drawing of its own."""
    return tuple(_DRAWINGS)


def sketch_label_keys(key: str) -> tuple[str, ...]:
    """The labels a sketch has room for; any may be left out."""
    return _DRAWINGS.get(key, _DRAWINGS[FALLBACK])[1]


def paint_sketch(
    painter: QPainter,
    rect: QRectF,
    key: str,
    labels: Mapping[str, str],
    palette: Palette,
) -> tuple[Point, ...]:
    """The sketch of that key, its labels in the caller's words; a plain look for an unknown key.

    Made for 288 x 224 units and good down to 288 x 176. Returns where the probe tips touch, in the
    painter's units.
    """
    drawing, _ = _DRAWINGS.get(key, _DRAWINGS[FALLBACK])
    box, scale = fitted(rect, WIDTH, HEIGHT)
    board = Board(painter, palette)
    with design(painter, box, scale) as sheet:
        painter.setClipRect(sheet, Qt.ClipOperation.IntersectClip)
        drawing(board)
    board.paint_labels(rect, labels)
    return tuple((box.left() + scale * x, box.top() + scale * y) for x, y in board.contacts)


def paint_machine(painter: QPainter, rect: QRectF, palette: Palette) -> None:
    """A machine as the counter and the machine file show one; any size, 216 x 130 units drawn."""
    box, scale = fitted(rect, 236.0, 130.0)
    with design(painter, box, scale):
        painter.translate(-31.0, -56.0)
        sketch_engine.machine(Board(painter, palette))
