"""The line that says what is wrong: one line high, higher where more of it must be read."""

import pytest
from pytestqt.qtbot import QtBot

from benchassist.paint.palette import DARK
from benchassist.ui.bench_layout import Place
from benchassist.ui.look import Look
from benchassist.ui.message import MOST, ONE_LINE, Message, room_for

SHORT = "first free label: 'x' is not a number from 1 to 24"
LONG = (
    "the shop file /media/stick/old.sqlite is damaged or cannot be read "
    "(database disk image is malformed): restore it from a backup"
)


@pytest.mark.parametrize("s", [1.0, 1.4])
def test_a_long_line_covers_what_stands_below_and_goes_back(qtbot: QtBot, s: float) -> None:
    """One line has its own room; what needs more has the spare one, at every scale."""
    message = Message()
    qtbot.addWidget(message)
    message.lay(Place(10, 4, 826, ONE_LINE), spare=48)
    message.dress(Look(DARK, s))
    for text, high in ((SHORT, ONE_LINE), (LONG, ONE_LINE + 48), (SHORT, ONE_LINE)):
        message.put(text)
        assert abs(message.height() - high * s) <= 1


def test_a_page_gives_room_as_needed_and_no_more_than_three_lines() -> None:
    """Nothing for nothing."""
    assert room_for("", 826.0) == 0.0
    assert room_for(SHORT, 826.0) == ONE_LINE
    assert ONE_LINE < room_for(LONG, 826.0) < MOST
    assert room_for(9 * LONG, 826.0) == MOST
