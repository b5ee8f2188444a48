"""Sketches of the stop circuit and of the probes themselves."""

from benchassist.paint.lettering import CENTRE
from benchassist.paint.sketch_board import Board


def engine_block(board: Board, x: float, y: float) -> None:
    """A corner of an engine's bare metal, 116 x 62: crankcase with a finned cylinder."""
    board.path(
        f"M {x},{y + 10} Q {x},{y} {x + 10},{y} H {x + 62} V {y + 62} H {x + 10}"
        f" Q {x},{y + 62} {x},{y + 52} Z",
        fill=board.palette.band,
    )
    board.path(f"M {x + 62},{y + 8} H {x + 112} V {y + 54} H {x + 62} Z", fill=board.palette.band)
    for fin in range(5):
        left = x + 68 + 9.4 * fin
        board.thin(f"M {left},{y + 1} V {y + 61}", width=3.0, color=board.palette.ink)
    board.ring((x + 30.0, y + 31.0), 15.0, fill=board.ground)
    board.ring((x + 30.0, y + 31.0), 5.0, fill=board.palette.band_edge, width=0.0)


def rocker(board: Board, x: float, y: float, *, off: bool) -> None:
    """A stop switch, 76 x 52: the pressed half is sunk and dark."""
    board.box((x, y), (x + 76.0, y + 52.0), fill=board.ground, radius=5.0)
    pressed = x + 10.0 if off else x + 38.0
    board.box((x + 10.0, y + 10.0), (x + 66.0, y + 42.0), fill=board.ground, radius=2.0)
    board.box((pressed, y + 10.0), (pressed + 28.0, y + 42.0), fill=board.palette.band, radius=2.0)
    board.ring((x + 24.0, y + 26.0), 6.0, width=2.6)
    board.thin(f"M {x + 52},{y + 19} V {y + 33}", width=2.8, color=board.palette.ink)


def stop_wire(board: Board) -> None:
    """The stop wire pulled off the coil, switch at run: one probe on it, one on bare engine."""
    board.cable("M 206,46 C 160,46 182,92 134,92", width=5.0)
    rocker(board, 202.0, 20.0, off=False)
    _unplugged_wire_and_block(board)
    board.label("run", 92.0, (202.0, 280.0), align=CENTRE)


def stop_switch(board: Board) -> None:
    """The same two places with the switch at stop: through the switch the wire meets ground."""
    board.cable("M 172,46 C 146,46 178,92 134,92", width=5.0)
    board.cable("M 248,46 H 266 V 74", width=5.0)
    for y, half in ((76.0, 13.0), (84.0, 8.5), (92.0, 4.0)):
        bar = f"M {266 - half},{y} H {266 + half}"
        board.thin(bar, width=3.6, color=board.palette.ink)
    rocker(board, 166.0, 20.0, off=True)
    _unplugged_wire_and_block(board)
    board.label("off", 94.0, (170.0, 240.0), align=CENTRE)


def _unplugged_wire_and_block(board: Board) -> None:
    """The wire's open connector with a probe on it, and bare engine with the other."""
    board.path("M 98,80 H 122 Q 136,80 136,92 Q 136,104 122,104 H 98 Z", fill=board.ground)
    board.thin("M 98,88 H 116 M 98,96 H 116", color=board.palette.ink)
    engine_block(board, 18.0, 146.0)
    board.probe((98.0, 92.0), 46.0)
    board.probe((130.0, 178.0), -167.0)
    board.label("wire", 126.0, (8.0, 150.0))
    board.label("engine", 152.0, (138.0, 280.0))


def oil_switch(board: Board) -> None:
    """One probe on the low-oil switch's wire, one on the block; engine level and full."""
    colors = board.palette
    board.cable("M 222,152 C 254,152 252,132 250,114", width=5.0)
    board.box((106.0, 18.0), (174.0, 66.0), fill=board.ground)
    for y in range(25, 62, 9):
        board.thin(f"M 98,{y} H 182", width=3.0, color=colors.ink)
    outline = "M {0},64 H {1} V {3} Q {1},{4} {2},{4} H {5} Q {0},{4} {0},{3} Z"
    board.path(outline.format(68, 216, 204, 192, 204, 80), fill=board.ground)
    board.path("M 80,130 H 204 V 186 Q 204,192 198,192 H 86 Q 80,192 80,186 Z", fill=colors.band)
    board.path("M 80,130 V 76 H 204 V 130", width=2.0)
    board.path("M 196,141 H 228 V 163 H 196 Z", fill=board.ground)
    board.thin("M 196,152 L 168,138", width=4.0, color=colors.ink)
    board.box((140.0, 120.0), (178.0, 143.0), fill=board.ground, radius=7.0)
    board.path("M 243,96 H 257 V 108 Q 257,115 250,115 Q 243,115 243,108 Z", fill=board.ground)
    board.probe((250.0, 96.0), 100.0, bend=1.0, size=0.86)
    board.probe((68.0, 116.0), -60.0, bend=1.0)
    board.label("engine", 84.0, (8.0, 60.0))
    board.label("oil", 176.0, (86.0, 194.0), align=CENTRE)
    board.label("oil_wire", 186.0, (222.0, 280.0))


def leads(board: Board) -> None:
    """The two tips held together."""
    board.probe((144.0, 100.0), -38.0, bend=-1.0, size=1.3)
    board.probe((144.0, 100.0), -142.0, size=1.3)
    for degrees in (-135.0, -90.0, -45.0):
        board.ray((144.0, 96.0), degrees, start=13.0, end=27.0)
    board.label("together", 48.0, (8.0, 280.0), align=CENTRE)


def self_check(board: Board) -> None:
    """One probe on each wire of a resistor that is known."""
    board.thin("M 52,100 H 236", width=4.0, color=board.palette.ink)
    board.path(
        "M 106,78 H 120 Q 126,78 128,83 H 160 Q 162,78 168,78 H 182 Q 192,78 192,88 V 112"
        " Q 192,122 182,122 H 168 Q 162,122 160,117 H 128 Q 126,122 120,122 H 106"
        " Q 96,122 96,112 V 88 Q 96,78 106,78 Z",
        fill=board.palette.band,
    )
    for x, half in ((110.0, 20.0), (136.0, 15.0), (150.0, 15.0), (176.0, 20.0)):
        ring = f"M {x},{100 - half} V {100 + half}"
        board.thin(ring, width=5.0, color=board.palette.ink)
    board.probe((72.0, 102.0), -62.0, bend=-1.0)
    board.probe((216.0, 102.0), -118.0)
    board.label("resistor", 54.0, (8.0, 280.0), align=CENTRE)
