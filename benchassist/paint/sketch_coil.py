"""Sketches of the ignition coil, its lead, cap and plug."""

from benchassist.paint.lettering import RIGHT
from benchassist.paint.sketch_board import Board


def coil(board: Board, x: float, y: float, *, scale: float = 1.0) -> None:
    """An ignition coil on its core at (x, y): 86 wide with 38 more to the tab's end, 150 high.

    In its own units: bare core at (0, 86), stop tab's end at (124, 66), lead out at (102, 104).
    """
    painter = board.painter
    painter.save()
    painter.translate(x, y)
    painter.scale(scale, scale)
    width = 3.0 / scale**0.5
    core = "M 0,4 Q 0,0 4,0 H 82 Q 86,0 86,4 V 150 Q 72,147 62,142 V 28 H 24 V 142 Q 14,147 0,150 Z"
    board.path(core, fill=board.ground, width=width)
    for rivet in ((12.0, 14.0), (74.0, 14.0), (12.0, 128.0), (74.0, 130.0)):
        board.ring(rivet, 3.0, fill=board.palette.band_edge, width=0.0)
    tab = "M 100,61 H 110 V 55 H 124 V 77 H 110 V 71 H 100 Z"
    board.path(tab, fill=board.ground, width=width)
    board.path(
        "M 54,42 H 94 Q 102,42 102,50 V 110 Q 102,118 94,118 H 54 Q 46,118 46,110"
        " V 50 Q 46,42 54,42 Z",
        fill=board.palette.band,
        width=width,
    )
    for turn in range(6):
        board.thin(f"M 57,{55 + 10 * turn} H 91", width=2.0)
    painter.restore()


def coil_primary(board: Board) -> None:
    """One probe on the stop tab, one on bare core."""
    coil(board, 84.0, 32.0)
    board.cable("M 188,136 C 214,136 222,152 226,172 C 229,190 236,204 254,206", width=8.0)
    board.probe((84.0, 118.0), -53.0, bend=-1.0)
    board.probe((208.0, 98.0), 127.0, bend=-1.0)
    board.label("core", 86.0, (8.0, 78.0))
    board.label("tab", 132.0, (216.0, 280.0))


def coil_secondary(board: Board) -> None:
    """One probe in the bare end of the lead, the cap off; one on bare core."""
    coil(board, 84.0, 32.0)
    board.cable("M 188,136 C 210,138 221,128 226,112", width=9.0)
    for end, width in (("230,98", 3.6), ("236,101", 2.0), ("225,99", 2.0)):
        board.thin(f"M 226,112 L {end}", width=width, color=board.palette.ink)
    board.probe((84.0, 118.0), -53.0, bend=-1.0)
    board.probe((230.0, 97.0), 116.0, bend=-1.0, size=0.88)
    board.label("core", 86.0, (8.0, 78.0))
    board.label("lead_end", 164.0, (198.0, 280.0))


def path(board: Board) -> None:
    """The whole way: one probe on the cap's terminal, one on bare core."""
    coil(board, 122.0, 16.0, scale=0.72)
    board.cable("M 196,91 C 258,88 270,150 250,168 C 242,176 234,178 222,178", width=7.0)
    board.path(
        "M 122,158 H 204 Q 222,160 222,178 Q 222,196 204,198 H 122 Z", fill=board.palette.band
    )
    board.path("M 122,166 H 158 V 190 H 122", fill=board.ground)
    board.thin(
        "M 158,178 H 176 L 180,170 L 187,186 L 194,170 L 198,178 H 206",
        width=2.4,
        color=board.palette.ink,
    )
    board.probe((138.0, 180.0), -8.0, bend=-1.0)
    board.probe((122.0, 72.0), 30.0)
    board.label("core", 100.0, (8.0, 112.0))
    board.label("cap_end", 156.0, (8.0, 112.0))


def cap(board: Board) -> None:
    """One probe on each end of a plug cap off its lead."""
    board.path(
        "M 137,41 H 214 C 246,41 252,66 252,90 V 154 Q 252,160 246,160 H 203 Q 197,160 197,154"
        " V 102 Q 197,95 190,95 H 137 Q 131,95 131,89 V 47 Q 131,41 137,41 Z",
        fill=board.palette.band,
    )
    board.path("M 213,160 V 118 H 237 V 160", fill=board.ground)
    board.thin("M 203,68 H 214 Q 225,68 225,79 V 118", width=3.0, color=board.palette.ink)
    board.box((147.0, 57.0), (203.0, 79.0), fill=board.ground)
    board.thin(
        "M 152,68 H 157 L 161,60 L 168,76 L 175,60 L 182,76 L 189,60 L 193,68 H 198",
        width=2.4,
        color=board.palette.ink,
    )
    board.thin("M 131,68 H 115", width=3.0, color=board.palette.ink)
    for x in (121.0, 126.5):
        board.thin(f"M {x},60 V 76", width=2.6, color=board.palette.ink)
    board.probe((114.0, 68.0), 22.0)
    board.probe((222.0, 146.0), -52.0, bend=-1.0)
    board.label("lead_end", 98.0, (8.0, 122.0))
    board.label("plug_end", 178.0, (8.0, 150.0))


def plug(board: Board) -> None:
    """One probe on a spark plug's stud, one on its centre tip."""
    board.box((58.0, 103.0), (74.0, 121.0), fill=board.ground, radius=2.0)
    board.path(
        "M 74,100 H 84 Q 87,94 90,100 H 96 Q 99,94 102,100 H 108 Q 111,94 114,100 H 134 V 124 H 114"
        " Q 111,130 108,124 H 102 Q 99,130 96,124 H 90 Q 87,130 84,124 H 74 Z",
        fill=board.ground,
    )
    board.box((176.0, 94.0), (222.0, 130.0), fill=board.ground)
    for x in range(183, 222, 8):
        board.thin(f"M {x},94 L {x - 3},130", width=2.0, color=board.palette.ink)
    board.path("M 158,86 H 176 V 138 H 158 Z", fill=board.palette.band)
    board.path("M 134,76 H 160 V 148 H 134 Z", fill=board.palette.band)
    board.thin("M 134,97 H 160 M 134,127 H 160", width=2.0)
    board.path("M 222,104 L 230,107 V 117 L 222,120 Z", fill=board.ground, width=2.4)
    board.thin("M 231,112 H 237", width=5.0, color=board.palette.ink)
    board.thin("M 222,97 H 249 V 112", width=5.0, color=board.palette.ink)
    board.probe((58.0, 110.0), 66.0, bend=-1.0)
    board.probe((238.0, 114.0), -104.0, bend=-1.0, size=0.96)
    board.label("stud", 156.0, (8.0, 118.0))
    board.label("tip", 66.0, (186.0, 280.0), align=RIGHT)


def plug_gap(board: Board) -> None:
    """A wire gauge between the electrodes."""
    board.path("M 76,224 V 166 H 168 V 224", fill=board.ground)
    for y in range(178, 224, 12):
        board.thin(f"M 76,{y} L 168,{y - 5}", width=2.0, color=board.palette.ink)
    board.path("M 98,166 L 106,126 H 138 L 146,166 Z", fill=board.ground)
    board.path("M 114,126 V 92 H 130 V 126", fill=board.palette.band_edge)
    board.path(
        "M 76,166 V 62 Q 76,44 94,44 H 142 V 66 H 102 Q 97,66 97,71 V 166 Z",
        fill=board.palette.band,
    )
    board.path("M 228,69 H 116 Q 106,69 106,79 Q 106,89 116,89 H 228 Z", fill=board.ground)
    board.ring((238.0, 79.0), 30.0, fill=board.ground)
    board.ring((247.0, 79.0), 7.0)
    board.thin("M 150,108 L 137,95 M 137,103 V 95 H 145", width=2.4, color=board.palette.ink)
    board.label("gap", 124.0, (148.0, 200.0))
    board.label("gauge", 148.0, (184.0, 280.0), align=RIGHT)
