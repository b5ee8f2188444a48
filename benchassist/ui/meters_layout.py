"""Where the parts of the meters page stand, in design units."""

from dataclasses import dataclass

from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.number_block import PAD
from benchassist.ui.slip_part import SLIP_SHARE

ONE_ROW, TWO_ROWS = 70.0, 120.0
"""Heights of a label with one row of tiles below it, and with two."""
LISTEN_WIDE, MORE_WIDE = 190.0, 190.0
FINDING_HEAD, FINDING_ROW, FINDING_GAP = 50.0, 50.0, 6.0
FINDING_COLUMNS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class MetersPlaces:
    """Every part of the page; `number` and `finding` share a place unless something is asked."""

    card: Place
    message: Place
    title: Place
    link: Place
    ports: Place
    protocols: Place
    port: Place
    line: Place
    connecter: Place
    number: Place
    finding: Place
    listener: Place
    more: Place
    accuracy: Place
    cards: Place
    match: Place


def meters_places(
    page_wide: float, high: float, *, ports: int, protocols: int, answers: int = 0
) -> MetersPlaces:
    """From the top: title, link, ports, protocols, line, number or finding, accuracy.

    `ports`, `protocols` and `answers` are how many there are. A question has the place of ports and
    protocols, which cannot be chosen while it stands, and the number stays below it.
    """
    left = page_wide * SLIP_SHARE
    x, wide = left + MARGIN, page_wide - left - 2 * MARGIN
    foot_wide = (wide - 32) / 3
    foot_x = x + foot_wide + 16
    tile_wide = (wide - foot_wide - 32) / 2
    ports_high = ONE_ROW if ports <= 2 else TWO_ROWS
    protocols_high = ONE_ROW if protocols <= 4 else TWO_ROWS
    speaks = 108 + ports_high + 8
    fields = 108 if answers else speaks + protocols_high + 8
    below = fields + 74 + 12
    room = high - 100 - below
    asked = _finding_high(answers) + 8 if answers else 0.0
    right = x + wide
    return MetersPlaces(
        card=Place(0, 0, left, high),
        message=Place(x, 4, wide, 32),
        title=Place(x, 32, wide, 46),
        link=Place(x, 76, wide, 30),
        ports=Place(x, 108, wide, ports_high),
        protocols=Place(x, speaks, wide, protocols_high),
        port=Place(x, fields, wide * 0.46, 74),
        line=Place(x + wide * 0.46 + 16, fields, wide * 0.26, 74),
        connecter=Place(x + wide * 0.72 + 32, fields + 26, wide * 0.28 - 32, 48),
        number=Place(x - PAD, below + asked, wide + 2 * PAD, room - asked),
        finding=Place(x, below, wide, asked or room),
        listener=Place(right - LISTEN_WIDE, below, LISTEN_WIDE, 44),
        more=Place(right - MORE_WIDE - (0 if answers else LISTEN_WIDE + 12), below, MORE_WIDE, 44),
        accuracy=Place(x, high - 92, foot_wide, 76),
        cards=Place(foot_x, high - 76, tile_wide, 60),
        match=Place(foot_x + tile_wide + 16, high - 76, tile_wide, 60),
    )


def _finding_high(tiles: int) -> float:
    """Head and rows of so many tiles."""
    rows = -(-tiles // FINDING_COLUMNS)
    return FINDING_HEAD + rows * (FINDING_ROW + FINDING_GAP)
