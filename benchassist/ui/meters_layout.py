"""Where the parts of the meters page stand, in design units."""

from dataclasses import dataclass

from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.number_block import PAD
from benchassist.ui.slip_part import SLIP_SHARE

ONE_ROW, TWO_ROWS = 70.0, 120.0
"""Heights of a label with one row of tiles below it, and with two."""
LISTEN_WIDE = 236.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MetersPlaces:
    """Every part of the page; `number` and `finding` share their place."""

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
    accuracy: Place
    cards: Place
    match: Place


def meters_places(
    page_wide: float, high: float, *, ports: int, protocols: int, second: bool
) -> MetersPlaces:
    """From the top: title, link, ports, protocols, line, number or finding, accuracy.

    `ports` and `protocols` are how many there are; `second`: a thermometer has no ohms statement.
    """
    left = page_wide * SLIP_SHARE
    x, wide = left + MARGIN, page_wide - left - 2 * MARGIN
    third = (wide - 32) / 3
    foot_x, foot_wide = (x, (wide - 16) / 2) if second else (x + third + 16, third)
    ports_high = ONE_ROW if ports <= 2 else TWO_ROWS
    protocols_high = ONE_ROW if protocols <= 4 else TWO_ROWS
    speaks = 108 + ports_high + 8
    fields = speaks + protocols_high + 8
    below = fields + 74 + 12
    room = high - 100 - below
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
        number=Place(x - PAD, below, wide + 2 * PAD, room),
        finding=Place(x, below, wide, room),
        listener=Place(x + wide - LISTEN_WIDE, below, LISTEN_WIDE, 44),
        accuracy=Place(x, high - 92, third, 76),
        cards=Place(foot_x, high - 76, foot_wide, 60),
        match=Place(foot_x + foot_wide + 16, high - 76, foot_wide, 60),
    )
