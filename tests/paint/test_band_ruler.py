from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QRectF

from benchassist.core.band import Verdict
from benchassist.core.ruler import Ruler
from benchassist.paint.band_ruler import (
    AXIS_Y,
    HEIGHT,
    HEIGHT_WITH_LEGEND,
    MIDDLE,
    TOP,
    paint_band_ruler,
)
from benchassist.paint.caliper import JAW
from benchassist.paint.palette import DARK, LIGHT, PRINT, Palette
from benchassist.paint.ruler_axis import Axis
from benchassist.paint.ruler_own import LEVEL
from tests.paint import specimen
from tests.paint.raster import Raster, overlaps, render, runs

WIDTH = 792
# Heights are rounded up to whole pixels.
A_PIXEL = (0.01, 1.0, -0.01, -1.0)


def drawn(
    ruler: Ruler, palette: Palette = LIGHT, *, width: int = WIDTH, scale: float = 1.0
) -> Raster:
    """The ruler with its legend, from pixel 0,0."""
    size = round(width * scale), round(HEIGHT_WITH_LEGEND * scale)
    rect = QRectF(0.0, 0.0, *size)
    return render(*size, lambda p: paint_band_ruler(p, rect, ruler, palette), ground=palette.panel)


def axis_of(ruler: Ruler) -> Axis:
    """Where things must lie at the design size."""
    return Axis.of(ruler, WIDTH, 12.0)


@pytest.mark.parametrize("doubt", [90.0, 150.0, 400.0, 900.0])
def test_the_lozenge_is_as_wide_as_the_doubt(doubt: float) -> None:
    """Its points are at reading ± U, to a pixel."""
    ruler = Ruler(low=3000.0, high=7000.0, value=5000.0, doubt=doubt, verdict=Verdict.IN_BAND)
    axis = axis_of(ruler)
    # In print it is white on the grey of the band, its points at mid-height.
    row = drawn(ruler, PRINT).row(MIDDLE, PRINT.band, tolerance=8)
    cuts = [(left, right) for left, right in pairwise(row) if right - left > 1]
    half_a_line = 0.8
    assert cuts[0][0] + 1 == pytest.approx(axis.x(5000.0 - doubt) - half_a_line, abs=1.5)
    assert cuts[-1][1] == pytest.approx(axis.x(5000.0 + doubt) + half_a_line, abs=1.5)


def test_a_tiny_doubt_still_shows() -> None:
    """The lozenge is never narrower than five pixels to a side."""
    ruler = Ruler(low=0.0, high=10.0, value=5.0, doubt=1e-9, verdict=Verdict.IN_BAND)
    lozenge = axis_of(ruler).lozenge(MIDDLE, 27.0)
    assert lozenge is not None
    assert lozenge.half_width == 5.0


def test_the_tick_stands_at_the_reading() -> None:
    """Five pixels of ink, centred on the reading, through the whole block."""
    raster, x = drawn(specimen.IN_BAND), axis_of(specimen.IN_BAND).x(4380.0)
    for y in (40.0, MIDDLE, 70.0):
        (tick,) = [run for run in runs(raster.row(y, LIGHT.ink)) if run[0] <= x <= run[1] + 1]
        assert (tick[0] + tick[1] + 1) / 2.0 == pytest.approx(x, abs=1.0)
        assert 4 <= tick[1] - tick[0] + 1 <= 6


@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_a_post_stands_at_each_limit(palette: Palette) -> None:
    """Posts reach beyond the block above and below, at both limits and nowhere else."""
    raster, axis = drawn(specimen.EMPTY, palette), axis_of(specimen.EMPTY)
    above = runs(raster.row(TOP - 4.0, palette.band_edge))
    assert [(a + b + 1) / 2.0 for a, b in above] == pytest.approx(
        [axis.x(3750.0), axis.x(6250.0)], abs=1.0
    )


def test_an_open_end_has_no_post_and_is_torn() -> None:
    """Where the band has no limit it runs off the scale with teeth, and no post stands there."""
    raster = drawn(replace(specimen.INSULATES, overload=False))
    assert len(runs(raster.row(TOP - 4.0, LIGHT.band_edge))) == 1
    teeth = runs(raster.column(WIDTH - 3, LIGHT.band, tolerance=10))
    assert len(teeth) >= 3


def test_an_open_low_end_at_zero_is_not_torn() -> None:
    """'Up to' for a quantity that cannot be negative begins at zero, in a straight line."""
    ruler = Ruler(low=None, high=0.5, value=0.1, doubt=0.05, verdict=Verdict.IN_BAND)
    axis, raster = axis_of(ruler), drawn(ruler)
    assert axis.scale.start == 0.0
    column = raster.column(axis.x(0.0) + 3.0, LIGHT.band, tolerance=10)
    assert len(runs(column)) == 1
    assert not raster.row(TOP + 10.0, LIGHT.band, tolerance=10)[0] < axis.x(0.0) - 1.0


def test_cannot_tell_is_hatched() -> None:
    """The lozenge is stripes of the verdict's colour with the ground between, no flat fill."""
    raster = drawn(specimen.CANNOT_TELL)
    lozenge = axis_of(specimen.CANNOT_TELL).lozenge(MIDDLE, 27.0)
    assert lozenge is not None
    left, right = lozenge.ends
    stripes = [run for run in runs(raster.row(MIDDLE, LIGHT.cannot_text)) if left < run[0] < right]
    assert len(stripes) > 20
    assert sum(b - a + 1 for a, b in stripes) < 0.5 * (right - left)


def test_a_thin_band_shows_over_the_hatch() -> None:
    """The band is a solid sliver that no stripe crosses, at its place on the scale."""
    raster, axis = drawn(specimen.CANNOT_TELL), axis_of(specimen.CANNOT_TELL)
    part = axis.block
    assert part is not None
    middle = (part.left + part.right) / 2.0
    solid = raster.column(middle, LIGHT.band_edge, tolerance=8)
    assert len([y for y in solid if TOP < y < AXIS_Y - 4.0]) >= AXIS_Y - TOP - 6.0


def test_an_overload_is_an_arrow_and_no_tick() -> None:
    """Above range: ink pointing off the right end, and no figure that could pass for a reading."""
    raster = drawn(specimen.INSULATES)
    widths = [len(raster.column(x, LIGHT.ink)) for x in (WIDTH - 16, WIDTH - 8)]
    assert widths[0] > widths[1] > 0
    shown = [text for text, _ in raster.texts]
    assert "Above range" in shown
    assert not any("±" in text for text in shown)


def test_a_reading_off_the_scale_is_an_arrow_at_that_end() -> None:
    """A reading below the axis points off its left end."""
    ruler = replace(specimen.EMPTY, value=-900.0, doubt=1.0, floor_at_zero=True)
    axis = axis_of(ruler)
    if axis.beyond == 0:
        pytest.skip("the scale reaches below zero")
    assert axis.beyond == -1
    raster = drawn(ruler)
    assert len(raster.column(16, LIGHT.ink)) > len(raster.column(8, LIGHT.ink)) > 0


def test_before_and_after() -> None:
    """The reading before is a dashed tick; an arrow runs from it to the new one."""
    raster, axis = drawn(specimen.BEFORE_AFTER), axis_of(specimen.BEFORE_AFTER)
    before, after = axis.x(0.92), axis.x(0.75)
    dashes = runs([y for y in raster.column(before - 3.0, LIGHT.ink, tolerance=90) if y < AXIS_Y])
    assert len(dashes) >= 5
    shaft = raster.row(5.0, LIGHT.ink)
    assert shaft[0] == pytest.approx(after, abs=3.0)
    assert shaft[-1] == pytest.approx(before, abs=3.0)


def test_earlier_visits_are_ticks_below_the_axis() -> None:
    """One faint tick for each earlier value, at its place."""
    raster, axis = drawn(specimen.OUT_HIGH), axis_of(specimen.OUT_HIGH)
    marks = runs(raster.row(AXIS_Y + 10.0, LIGHT.faint, tolerance=12))
    assert [(a + b + 1) / 2.0 for a, b in marks] == pytest.approx(
        [axis.x(v) for v in (0.76, 0.78, 0.81)], abs=1.5
    )


@pytest.mark.parametrize("name", specimen.RULERS)
@pytest.mark.parametrize("width", [792, 560, 400])
def test_words_stay_inside_and_apart(name: str, width: int) -> None:
    """No text leaves the ruler or stands on another, however narrow the ruler."""
    raster = drawn(specimen.RULERS[name], width=width)
    assert raster.texts
    assert not list(overlaps(raster.texts))
    room = QRectF(0.0, 0.0, width, HEIGHT_WITH_LEGEND)
    for text, rect in raster.texts:
        assert room.contains(rect.adjusted(*A_PIXEL)), text


@given(
    low=st.one_of(st.none(), st.floats(1.0, 5.0)),
    width=st.floats(0.05, 8.0),
    value=st.floats(0.0, 14.0),
    doubt=st.floats(0.001, 5.0),
    before=st.one_of(st.none(), st.floats(0.0, 14.0)),
    verdict=st.sampled_from(list(Verdict)),
    label=st.sampled_from(["Band", "Band: 3.75–6.25 kΩ, marked 5 kΩ", "Band: own parts " * 5]),
    own=st.sampled_from(["", "This shop: 4.55 to 5.45 kΩ, from 14 good parts"]),
)
def test_words_never_overlap(  # noqa: PLR0917
    low: float | None,
    width: float,
    value: float,
    doubt: float,
    before: float | None,
    verdict: Verdict,
    label: str,
    own: str,
) -> None:
    """Wherever reading and band lie, figures, band and scale are kept apart and inside."""
    ruler = Ruler(
        low=low,
        high=(low or 0.0) + width,
        value=value,
        doubt=doubt,
        before=before,
        verdict=verdict,
        unit_text="kΩ",
        band_label=label,
        reading_label=f"{value:.2f} ±{doubt:.2f}",
        doubt_label="as wide as the meter’s doubt",
        earlier_label="2024: 4.35 · 2025: 4.33",
        leads_label="Leads 0.2 Ω: too small to matter here",
        own_low=low,
        own_high=width + 1.0,
        own_label=own,
    )
    raster = drawn(ruler)
    assert any(text.startswith("Band") for text, _ in raster.texts)
    assert not list(overlaps(raster.texts))
    room = QRectF(0.0, 0.0, WIDTH, HEIGHT_WITH_LEGEND)
    for text, rect in raster.texts:
        assert room.contains(rect.adjusted(*A_PIXEL)), text


@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_the_shop_s_own_band_is_a_caliper_over_the_block(palette: Palette) -> None:
    """A thin bar from limit to limit with a jaw at each, in no verdict's colour; words beside."""
    ruler = specimen.OWN_BESIDE
    raster, axis = drawn(ruler, palette), axis_of(ruler)
    low, high = axis.x(4550.0), axis.x(5450.0)
    bar = raster.row(LEVEL, palette.dim, tolerance=4)
    assert bar[0] == pytest.approx(low, abs=1.5)
    assert bar[-1] == pytest.approx(high, abs=1.5)
    jaws = runs(
        [x for x in raster.row(LEVEL - JAW + 1.0, palette.dim, tolerance=4) if x < high + 9.0]
    )
    assert [(a + b + 1) / 2.0 for a, b in jaws] == pytest.approx([low, high], abs=1.5)
    assert ruler.own_label in [text for text, _ in raster.texts]
    plain = drawn(replace(ruler, own_label=""), palette)
    assert not plain.row(LEVEL - JAW + 1.0, palette.dim, tolerance=4)


def test_an_open_side_of_it_has_no_jaw() -> None:
    """'At least' runs off the scale with a jaw at its low end alone."""
    ruler = specimen.OWN_OPEN
    raster, axis = drawn(ruler), axis_of(ruler)
    bar = raster.row(LEVEL, LIGHT.dim, tolerance=4)
    assert bar[0] == pytest.approx(axis.x(12e6), abs=1.5)
    assert bar[-1] >= WIDTH - 2
    jaws = runs(raster.row(LEVEL + JAW - 1.0, LIGHT.dim, tolerance=4))
    assert len(jaws) == 1


def test_it_never_moves_the_scale_of_a_reading() -> None:
    """What judges is drawn as if the other were not there; without a reading both are shown."""
    ruler = specimen.OWN_BESIDE
    assert axis_of(ruler).scale == axis_of(specimen.IN_BAND).scale
    wide = replace(specimen.EMPTY, own_low=1000.0, own_high=9000.0, own_label="This shop")
    assert axis_of(wide).scale.start <= 1000.0
    assert axis_of(wide).scale.end >= 9000.0
    far = replace(ruler, own_low=90e3, own_high=99e3)
    assert ruler.own_label in [text for text, _ in drawn(far).texts]


def test_a_label_in_two_lines_breaks_before_the_source() -> None:
    """Limits and unit stay together; where the band comes from is the second line."""
    texts = [text for text, _ in drawn(specimen.OUT_HIGH).texts]
    assert "Band: 0.7–0.8 mm," in texts
    assert "common practice" in texts


def test_the_band_label_is_not_under_the_reading() -> None:
    """The words in the block keep clear of lozenge and tick on either side."""
    for value in (3800.0, 4400.0, 5000.0, 5600.0, 6200.0):
        ruler = replace(specimen.IN_BAND, value=value)
        lozenge = axis_of(ruler).lozenge(MIDDLE, 27.0)
        assert lozenge is not None
        texts = drawn(ruler).texts
        words = [rect for text, rect in texts if text in ruler.band_label and len(text) > 6]
        assert words
        left, right = lozenge.ends
        for rect in words:
            assert rect.right() < left or rect.left() > right or rect.bottom() < TOP


def test_figures_stand_away_from_the_nearer_edge() -> None:
    """Near the low limit the figures are right of the tick, near the high one left of it."""
    for value, side in ((3900.0, 1), (6100.0, -1)):
        ruler = replace(specimen.IN_BAND, value=value)
        (figures,) = [r for t, r in drawn(ruler).texts if t == ruler.reading_label]
        assert (figures.center().x() - axis_of(ruler).x(value)) * side > 0.0


def test_the_unit_is_on_the_last_label_only() -> None:
    """The scale is in the unit shown, named once."""
    texts = [text for text, _ in drawn(replace(specimen.EMPTY, band_label="")).texts]
    assert [text for text in texts if "kΩ" in text] == ["7 kΩ"]


@pytest.mark.parametrize("name", specimen.RULERS)
def test_print_is_black_and_white(name: str) -> None:
    """On paper no pixel has a colour, and the block is the 23 % grey of the spec."""
    raster = drawn(specimen.RULERS[name], PRINT)
    assert raster.is_grey()


def test_it_scales_as_a_whole() -> None:
    """At 1920 x 1080 everything is 1.406 times as large: same texts, tick at the same share."""
    scale = 1080 / 768
    small, large = drawn(specimen.IN_BAND), drawn(specimen.IN_BAND, scale=scale)
    assert [text for text, _ in small.texts] == [text for text, _ in large.texts]
    for (_, a), (_, b) in zip(small.texts, large.texts, strict=True):
        assert b.center().x() / scale == pytest.approx(a.center().x(), abs=2.0)


def test_without_a_legend_it_is_lower() -> None:
    """Squeezed for fix tiles the legend goes, the scale stays."""
    rect = QRectF(0.0, 0.0, WIDTH, HEIGHT)
    raster = render(
        WIDTH,
        round(HEIGHT),
        lambda p: paint_band_ruler(p, rect, specimen.IN_BAND, LIGHT, legend=False),
    )
    texts = [text for text, _ in raster.texts]
    assert specimen.IN_BAND.doubt_label not in texts
    assert "7 kΩ" in texts
