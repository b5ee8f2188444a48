from dataclasses import replace

import pytest
from PySide6.QtCore import QRectF

from benchassist.paint.palette import DARK, LIGHT, PRINT, Palette
from benchassist.paint.strip_plot import paint_strip_plot, strip_scale
from tests.paint import specimen
from tests.paint.raster import Raster, overlaps, render, runs

SIZE = (792, 130)
MARKS = ((-60.0, "60 s ago"), (-30.0, "30 s ago"), (0.0, "now"))


def drawn(strip: specimen.Strip, palette: Palette = LIGHT) -> Raster:
    """The strip from pixel 0,0."""
    return render(
        *SIZE,
        lambda p: paint_strip_plot(p, QRectF(0.0, 0.0, *SIZE), strip, palette, marks=MARKS),
        ground=palette.panel,
    )


@pytest.mark.parametrize("name", specimen.STRIPS)
def test_labels_stay_inside_and_apart(name: str) -> None:
    """Figures of both axes are inside the strip and clear of each other."""
    raster = drawn(specimen.STRIPS[name])
    assert not list(overlaps(raster.texts))
    room = QRectF(0.0, 0.0, *SIZE)
    for text, rect in raster.texts:
        assert room.contains(rect.adjusted(0.01, 1.0, -0.01, -1.0)), text


def test_the_newest_reading_is_a_dot() -> None:
    """The newest value is marked in the live colour at the right end."""
    raster = drawn(specimen.STRIPS["steadying"])
    dot = raster.count(QRectF(SIZE[0] - 28.0, 0.0, 27.0, 100.0), LIGHT.live)
    assert dot > 40
    assert raster.count(QRectF(0.0, 0.0, SIZE[0] - 40.0, 100.0), LIGHT.live) == 0


def test_an_overload_is_a_gap_with_a_mark_above() -> None:
    """While the meter shows above range no line is drawn; a mark at the top says why."""
    strip = specimen.STRIPS["overloads"]
    raster = drawn(replace(strip, low=None, high=None))
    x = SIZE[0] - 14.0 - 36.0 / 60.0 * (SIZE[0] - 14.0 - 76.0)
    gap = QRectF(x - 20.0, 14.0, 40.0, 84.0)
    assert raster.count(gap, LIGHT.ink) == 0
    above = QRectF(x - 60.0, 0.0, 120.0, 12.0)
    assert raster.count(above, LIGHT.ink) > 20


def test_the_band_is_a_block_behind_the_line() -> None:
    """The band lies where its limits are on the scale; a limit has an edge, an open side none."""
    strip = specimen.STRIPS["steadying"]
    scale = strip_scale(strip)
    raster = drawn(strip)
    column = raster.column(700, LIGHT.band, tolerance=8)
    top, bottom, height = 12.0, SIZE[1] - 26.0, SIZE[1] - 38.0
    assert min(column) == pytest.approx(bottom - scale.place(6.25) * height, abs=3.0)
    assert max(column) == pytest.approx(bottom - scale.place(3.75) * height, abs=3.0)
    opened = drawn(specimen.STRIPS["open"]).column(700, LIGHT.band, tolerance=8)
    assert min(opened) <= top + 1.0


def test_one_spike_among_many_readings_shows() -> None:
    """Of tens of thousands of readings the single one far off is still drawn."""
    count = 60_000
    seconds = tuple(-60.0 * (1.0 - i / (count - 1)) for i in range(count))
    values = [5.0] * count
    values[count // 2] = 6.2
    raster = drawn(specimen.Strip(seconds, tuple(values), None, None, "kΩ"))
    x = (SIZE[0] - 14.0 + 54.0) / 2.0
    above = QRectF(x - 20.0, 16.0, 40.0, 60.0)
    rows = [y for y in range(16, 76) if raster.count(QRectF(x - 20.0, y, 40.0, 0.5), LIGHT.ink)]
    assert len(rows) > 20
    assert raster.count(above, LIGHT.ink) < 3 * len(rows)


def test_no_readings_is_an_empty_strip() -> None:
    """Before the first reading only band and axes are drawn."""
    raster = drawn(specimen.STRIPS["empty"])
    assert raster.count(QRectF(0.0, 0.0, *SIZE), LIGHT.live) == 0
    assert raster.column(400, LIGHT.band, tolerance=8)


def test_a_steady_reading_is_not_magnified_without_end() -> None:
    """Equal readings get a scale about them, wide enough to be read."""
    strip = specimen.Strip((-1.0, 0.0), (4.38, 4.38), None, None, "kΩ")
    scale = strip_scale(strip)
    assert scale.start < 4.38 < scale.end
    assert scale.decimals <= 2


def test_it_can_be_printed() -> None:
    """In the print palette no pixel has a colour."""
    assert drawn(specimen.STRIPS["steadying"], palette=PRINT).is_grey()
    assert not drawn(specimen.STRIPS["steadying"], palette=DARK).is_grey()
    assert runs([1, 2, 4]) == [(1, 2), (4, 4)]
