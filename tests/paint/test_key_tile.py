"""The tile with a key on it: what stands is inverted, what has the focus is framed."""

import pytest
from PySide6.QtCore import QRectF

from benchassist.paint.key_tile import paint_key_tile
from benchassist.paint.palette import DARK, LIGHT, Palette
from tests.paint.raster import Raster, render

ROOM = QRectF(0.0, 0.0, 116.0, 46.0)


def drawn(
    text: str, palette: Palette = LIGHT, *, inverted: bool = False, has_focus: bool = False
) -> Raster:
    """A tile of the size it has in its window."""
    return render(
        116,
        46,
        lambda painter: paint_key_tile(
            painter, ROOM, palette, press="A", text=text, inverted=inverted, has_focus=has_focus
        ),
    )


@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_what_stands_is_inverted(palette: Palette) -> None:
    """Its ground is ink, else the panel's; the cap is a panel on both."""
    plain, stands = drawn("Heat on", palette), drawn("Heat on", palette, inverted=True)
    assert plain.near(112, 5, palette.panel)
    assert stands.near(112, 5, palette.ink)
    assert plain.near(10, 14, palette.panel)
    assert stands.near(10, 14, palette.panel)


def test_the_focus_is_a_frame() -> None:
    """Three units of the live colour all around, none without it."""
    assert drawn("Heat on", has_focus=True).near(1, 23, LIGHT.live)
    assert not drawn("Heat on").near(1, 23, LIGHT.live)


@pytest.mark.parametrize("text", ["Lift", "Heat off, cool", "Idle-down sticks"])
def test_words_stay_inside(text: str) -> None:
    """On one line or two, right of the cap, not cut."""
    texts = drawn(text).texts
    assert "".join(word for word, _rect in texts[1:]).replace(" ", "") == text.replace(" ", "")
    for _word, rect in texts[1:]:
        assert rect.left() >= 37.0
        assert rect.right() <= ROOM.right()
        assert ROOM.top() <= rect.top() < rect.bottom() <= ROOM.bottom()
