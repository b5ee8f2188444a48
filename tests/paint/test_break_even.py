import pytest
from PySide6.QtCore import QRectF

from benchassist.paint.break_even import (
    HEIGHT,
    BreakEven,
    SwingBar,
    paint_break_even,
    paint_swings,
)
from benchassist.paint.palette import LIGHT, PRINT, Palette
from tests.paint.raster import Raster, overlaps, render, runs

WIDTH = 260
MIDDLE = 42.0


def shown(at: float, chance: float | None = None, **given: object) -> BreakEven:
    """A break-even with its words."""
    usual: dict[str, object] = {
        "at": at,
        "label": f"{100 * at:.0f} %",
        "keep": "keep",
        "replace": "replace",
        "chance": chance,
    }
    return BreakEven(**{**usual, **given})  # type: ignore[arg-type]


def drawn(value: BreakEven, palette: Palette = LIGHT) -> Raster:
    """The drawing from pixel 0,0."""
    return render(
        WIDTH,
        round(HEIGHT),
        lambda p: paint_break_even(p, QRectF(0.0, 0.0, WIDTH, HEIGHT), value, palette),
        ground=palette.panel,
    )


def test_replacing_pays_right_of_the_post() -> None:
    """The block begins at the break-even and runs to the end."""
    block = drawn(shown(0.4)).row(30.0, LIGHT.band, tolerance=6)
    assert block[0] == pytest.approx(0.4 * WIDTH, abs=4.0)
    assert block[-1] == pytest.approx(WIDTH, abs=2.0)


def test_the_chance_has_a_tick_and_no_figure() -> None:
    """Its figure is told elsewhere, with whose judgement it is."""
    raster = drawn(shown(0.2, 0.8, chance_low=0.7, chance_high=0.9))
    ticks = runs(raster.row(24.0, LIGHT.ink))
    assert any((a + b + 1) / 2 == pytest.approx(0.8 * WIDTH, abs=1.5) for a, b in ticks)
    assert "80 %" not in [text for text, _rect in raster.texts]


@pytest.mark.parametrize("at", [0.0, 0.03, 0.5, 0.97, 1.0])
def test_every_word_stays_inside(at: float) -> None:
    """The label is kept in the drawing; a word without room on its side is left out."""
    raster = drawn(shown(at, min(1.0, at + 0.02)))
    for _text, rect in raster.texts:
        assert rect.left() >= -0.5
        assert rect.right() <= WIDTH + 0.5
    assert [*overlaps(raster.texts)] == []
    words = {text for text, _rect in raster.texts}
    assert f"{100 * at:.0f} %" in words
    assert words & {"keep", "replace"}


def swings(palette: Palette = LIGHT) -> Raster:
    """Three figures, one of which may never pay."""
    bars = (
        SwingBar(name="Part", low=0.2, high=0.6, text="20 % to 60 %"),
        SwingBar(name="Return visit", low=None, high=0.3, text="never pays to 30 %"),
        SwingBar(name="Goodwill", low=0.42, high=0.38, text="42 % to 38 %"),
    )
    return render(
        400,
        120,
        lambda p: paint_swings(p, QRectF(0.0, 0.0, 400.0, 120.0), bars, 0.4, palette),
        ground=palette.panel,
    )


def test_a_figure_that_never_pays_reaches_the_end() -> None:
    """Its bar runs to the right end, where an arrow stands; the others end at their shares."""
    raster = swings()
    part = raster.row(20.0 - 3.0, LIGHT.band_edge, tolerance=10)
    never = raster.row(60.0 - 3.0, LIGHT.band_edge, tolerance=10)
    assert part[-1] < never[-1]
    assert never[-1] > 0.95 * 400
    assert [t for t, _rect in raster.texts if "never" in t] == ["never pays to 30 %"]
    assert [*overlaps(raster.texts)] == []


def test_print_is_black_and_white() -> None:
    """No pixel has a colour on paper."""
    assert drawn(shown(0.4, 0.8), PRINT).is_grey()
    assert swings(PRINT).is_grey()
