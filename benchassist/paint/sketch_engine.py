"""Sketches of gaps, spark and speed, of looking, and of a whole machine."""

from math import cos, radians, sin

from PySide6.QtGui import QPainterPath

from benchassist.paint.lettering import CENTRE
from benchassist.paint.sketch_board import Board
from benchassist.paint.sketch_circuit import engine_block
from benchassist.paint.stroke import Point, polygon


def arc_band(centre: Point, inner: float, outer: float, start: float, end: float) -> QPainterPath:
    """The piece of a ring between two radii and two angles (degrees, 0 right, 90 down)."""
    steps = 24
    angles = [radians(start + (end - start) * i / steps) for i in range(steps + 1)]
    x, y = centre
    points = [(x + outer * cos(a), y + outer * sin(a)) for a in angles]
    points += [(x + inner * cos(a), y + inner * sin(a)) for a in reversed(angles)]
    return polygon(points)


def air_gap(board: Board) -> None:
    """A card between the flywheel's magnet and both legs of the coil."""
    colors = board.palette
    centre = (144.0, 300.0)
    board.path(
        "M 90,24 Q 90,20 94,20 H 194 Q 198,20 198,24 V 138 Q 184,133.5 170,131.5 V 50 H 118"
        " V 131.5 Q 104,133.5 90,138 Z",
        fill=board.ground,
    )
    for rivet in ((104.0, 35.0), (184.0, 35.0)):
        board.ring(rivet, 3.0, fill=colors.band_edge, width=0.0)
    board.box((152.0, 58.0), (216.0, 112.0), fill=colors.band, radius=8.0)
    for turn in range(5):
        board.thin(f"M 162,{67 + 9 * turn} H 206")
    board.path(arc_band(centre, 124.0, 158.0, -155.0, -25.0), fill=board.ground)
    board.path(arc_band(centre, 124.0, 158.0, -108.0, -72.0), fill=colors.band)
    for angle in (-96.0, -84.0):
        board.path(arc_band(centre, 124.0, 158.0, angle, angle + 0.1), width=2.4)
    # The card rests on the flywheel and sticks out to the left, where a hand pulls it.
    board.path(arc_band(centre, 160.0, 165.4, -136.0, -66.0), fill=colors.ink, width=1.0)
    board.label("card", 126.0, (8.0, 80.0))
    board.label("coil", 40.0, (206.0, 280.0))
    board.label("magnet", 204.0, (84.0, 204.0), align=CENTRE)


def spark_tester(board: Board) -> None:
    """A spark tester between plug cap and bare engine, its gap in sight."""
    colors = board.palette
    engine_block(board, 14.0, 150.0)
    board.cable("M 226,84 C 262,84 262,48 278,26", width=8.0)
    board.path(
        "M 186,72 L 196,68 H 222 Q 234,70 234,84 Q 234,98 222,100 H 196 L 186,96 Z",
        fill=colors.band,
    )
    board.clip((44.0, 150.0), 90.0, wire="M 44,108 C 44,88 62,84 98,84")
    board.box((98.0, 60.0), (182.0, 108.0), fill=board.ground, radius=8.0)
    board.thin("M 98,84 H 124", width=6.0, color=colors.ink)
    board.thin("M 158,84 H 186", width=6.0, color=colors.ink)
    board.path("M 124,80 L 132,84 L 124,88 Z", fill=colors.ink, width=1.0)
    board.path("M 158,80 L 150,84 L 158,88 Z", fill=colors.ink, width=1.0)
    board.thin("M 133,84 L 138,77 L 141,90 L 146,82 L 149,84", width=2.6, color=colors.in_mark)
    for degrees in (-125.0, -90.0, -55.0, 55.0, 90.0, 125.0):
        board.ray((141.0, 84.0), degrees, start=12.0, end=18.0)
    board.label("gap", 44.0, (60.0, 220.0), align=CENTRE)
    board.label("cap", 126.0, (188.0, 280.0), align=CENTRE)
    board.label("ground", 176.0, (142.0, 280.0))


def tachometer(board: Board) -> None:
    """A clamp round the plug lead, the counter it belongs to well away from the engine."""
    colors = board.palette
    engine_block(board, 10.0, 150.0)
    board.cable("M 78,112 C 84,64 130,44 206,26", width=9.0)
    board.path("M 62,150 V 122 Q 62,106 78,106 Q 94,106 94,122 V 150 Z", fill=colors.band)
    board.cable("M 144,70 C 154,104 182,92 206,98 C 220,102 226,108 226,122", width=4.4)
    painter = board.painter
    painter.save()
    painter.translate(136.0, 51.0)
    painter.rotate(-25.0)
    board.path("M -6,16 L -4,30 H 4 L 6,16 Z", fill=board.ground, width=2.6)
    board.box((-16.0, -19.0), (16.0, 19.0), fill=colors.band, radius=6.0)
    board.thin("M -16,0 H 16", width=2.4, color=colors.ink)
    board.ring((0.0, -10.0), 2.4, fill=colors.ink, width=0.0)
    painter.restore()
    board.box((180.0, 120.0), (272.0, 212.0), fill=board.ground, radius=8.0)
    board.box((190.0, 130.0), (262.0, 172.0), fill=colors.band, radius=3.0)
    board.ring((206.0, 192.0), 8.0)
    board.ring((246.0, 192.0), 8.0)
    board.label("clamp", 34.0, (8.0, 116.0))
    board.label("rpm", 157.0, (192.0, 260.0), align=CENTRE)


def look(board: Board) -> None:
    """A magnifying glass over a part: look before measuring."""
    colors = board.palette
    engine_block(board, 26.0, 120.0)
    board.thin("M 198,154 L 240,196", width=16.0, color=colors.ink)
    board.thin("M 204,160 L 238,194", width=8.0, color=board.ground)
    board.ring((150.0, 106.0), 66.0, fill=board.ground, width=5.0)
    board.path("M 98,106 C 122,66 178,66 202,106 C 178,146 122,146 98,106 Z", fill=board.ground)
    board.ring((150.0, 106.0), 20.0, fill=colors.band)
    board.ring((150.0, 106.0), 8.0, fill=colors.ink, width=0.0)
    board.label("look", 28.0, (8.0, 280.0), align=CENTRE)


def machine(board: Board) -> None:
    """An engine driving a pump on one skid."""
    colors = board.palette
    board.thin("M 36,178 H 252", width=3.0, color=colors.ink)
    board.path("M 52,178 V 165 H 236 V 178", fill=board.ground)
    board.path("M 96,100 V 82 Q 96,72 106,72 H 150 Q 160,72 160,82 V 100", fill=board.ground)
    board.box((118.0, 63.0), (140.0, 74.0), fill=board.ground, radius=1.0)
    board.path("M 70,114 H 55 V 127 H 70", fill=board.ground)
    board.path("M 166,120 H 182 V 146 H 166 Z", fill=board.ground)
    board.box((70.0, 100.0), (168.0, 165.0), fill=colors.band, radius=7.0)
    board.ring((120.0, 134.0), 24.0, fill=board.ground)
    board.ring((120.0, 134.0), 9.0)
    board.thin(
        "M 120,110 V 124 M 120,144 V 158 M 96,134 H 110 M 130,134 H 144",
        width=3.0,
        color=colors.ink,
    )
    board.box((182.0, 109.0), (232.0, 165.0), fill=board.ground, radius=5.0)
    board.box((200.0, 95.0), (214.0, 109.0), fill=board.ground)
    board.ring((207.0, 138.0), 18.0)
    board.path("M 232,121 H 248 V 92 Q 248,76 262,72", width=3.0)
