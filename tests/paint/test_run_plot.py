from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QBuffer, QIODevice, QPointF, QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QPdfWriter

from benchassist.core.run_plot import PlotFlag, PlotGap, PlotWords, RunPlot, Shelf, Track
from benchassist.paint.palette import DARK, LIGHT, PRINT, Palette
from benchassist.paint.run_axis import clock, number, time_ticks, value_axis
from benchassist.paint.run_flag import place_flags
from benchassist.paint.run_layout import Layout
from benchassist.paint.run_plot import Cursor, draw_run_plot
from tests.paint.raster import Raster, TextPainter, overlaps, render
from tests.paint.run_specimen import PLOTS, heat

SCREEN = (560, 310)
SIZES = {
    "window of 768": (*SCREEN, 1.0),
    "window of 1080": (900, 436, 1080 / 768),
    "strip": (674, 190, 1.0),
    "paper": (1890, 531, 2.0),
}
SMALLEST_POINTS = 7.0
CURSOR = Cursor(600.0, "10:00 · Step", ("7.43 to 7.49 kΩ", "66 °C"))


def drawn(
    plot: RunPlot,
    palette: Palette = LIGHT,
    *,
    size: tuple[int, int, float] = (*SCREEN, 1.0),
    cursor: Cursor | None = None,
) -> tuple[Raster, Layout]:
    """The plot from pixel 0,0 and where things stand."""
    layouts: list[Layout | None] = []

    def paint(painter: QPainter) -> None:
        rect = QRectF(0.0, 0.0, *size[:2])
        layouts.append(draw_run_plot(painter, rect, plot, palette, size[2], cursor=cursor))

    raster = render(*size[:2], paint, ground=palette.bench)
    layout = layouts[0]
    assert layout is not None
    return raster, layout


def single(t_s: list[float], value: list[float], **more: object) -> RunPlot:
    """A plot of one track over its own length."""
    times, values = np.array(t_s), np.array(value)
    track = Track(title="R", unit="Ω", t_s=times, low=values, high=values, **more)  # type: ignore[arg-type]
    return RunPlot(tracks=(track,), start_s=t_s[0], end_s=t_s[-1])


# --- nothing clipped, nothing on top of each other


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", PLOTS)
def test_every_text_stands_clear_and_whole(name: str, size: str) -> None:
    """On screen and on paper no text meets another and none leaves the picture."""
    for cursor in (None, CURSOR):
        raster, _ = drawn(PLOTS[name], size=SIZES[size], cursor=cursor)
        assert not list(overlaps(raster.texts))
        room = QRectF(0.0, 0.0, *SIZES[size][:2])
        assert raster.texts
        for text, rect in raster.texts:
            assert room.contains(rect.adjusted(0.01, 1.0, -0.01, -1.0)), text


@pytest.mark.parametrize("name", PLOTS)
def test_texts_on_paper_can_be_read(name: str) -> None:
    """At 300 dots an inch no text is under seven points."""
    width, height, scale = SIZES["paper"]
    sizes: list[float] = []

    class Sized(TextPainter):
        def drawText(self, at: QPointF, text: str) -> None:  # type: ignore[override]
            sizes.append(self.font().pixelSize() * self.worldTransform().m11())
            super().drawText(at, text)

    image = QImage(width, height, QImage.Format.Format_RGB32)
    painter = Sized(image)
    draw_run_plot(painter, QRectF(0.0, 0.0, width, height), PLOTS[name], PRINT, scale)
    painter.end()
    assert min(sizes) / 300.0 * 72.0 >= SMALLEST_POINTS


def test_print_is_black_on_white() -> None:
    """In the print palette no pixel has a colour; what is severe is told by its shape."""
    raster, layout = drawn(PLOTS["speed"], PRINT, size=SIZES["paper"])
    assert raster.is_grey()
    assert not drawn(PLOTS["speed"], DARK)[0].is_grey()
    fills = [
        raster.count(
            QRectF(2.0 * flag.left + 4.0, 2.0 * (layout.flag_foot - 20.0), 40.0, 38.0), "#000000"
        )
        for flag in layout.flags
    ]
    assert [flag.severe for flag in layout.flags] == [False, False, True]
    assert fills[2] > 2 * max(fills[:2])


def test_it_can_be_written_to_a_pdf() -> None:
    """The same call draws on paper's own device; a day's buckets stay a small file."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(300)
    painter = QPainter(writer)
    assert draw_run_plot(painter, QRectF(100.0, 100.0, 1890.0, 531.0), PLOTS["day"], PRINT, 2.0)
    painter.end()
    content = bytes(buffer.data().data())
    assert content.startswith(b"%PDF")
    assert 5_000 < len(content) < 200_000


# --- lines


def test_one_sample_in_a_million_is_drawn() -> None:
    """A lone spike among many rows stands in its pixel column, up to its value."""
    value = np.zeros(1_000_000)
    value[700_000] = 5.0
    plot = single(list(range(3)), [0.0, 0.0, 0.0])
    track = replace(plot.tracks[0], t_s=np.linspace(0.0, 2.0, len(value)), low=value, high=value)
    raster, layout = drawn(replace(plot, tracks=(track,)))
    frame = layout.frames[0]
    spike = raster.column(frame.x(1.4), LIGHT.ink, tolerance=90)
    assert min(spike) == pytest.approx(frame.y(5.0), abs=3.0)
    beside = raster.column(frame.x(1.4) - 6.0, LIGHT.ink, tolerance=90)
    assert min(beside) > frame.y(1.0)


@pytest.mark.parametrize("rows", [40, 300, 900, 5_000, 100_000])
def test_a_busy_line_shows_every_extreme(rows: int) -> None:
    """However it is drawn, noise reaches each row's value and no higher; dense, it has no holes."""
    random = np.random.default_rng(3)
    t_s = np.linspace(0.0, 100.0, rows)
    value = random.uniform(4.0, 6.0, rows)
    plot = single(t_s.tolist(), value.tolist())
    raster, layout = drawn(plot)
    frame = layout.frames[0]
    for place in range(1, min(rows, 900) - 1):
        spot = QRectF(frame.x(t_s[place]) - 1.5, frame.y(value[place]) - 1.5, 3.0, 3.0)
        assert raster.count(spot, LIGHT.ink, tolerance=140), place
    high, low = frame.y(float(value.max())), frame.y(float(value.min()))
    for y in (high - 4.0, low + 4.0):
        beyond = raster.row(y, LIGHT.ink, tolerance=90)
        assert not [x for x in beyond if frame.rect.left() < x < frame.rect.right()]
    if rows > 50_000:
        core = QRectF(frame.rect.left() + 3, high + 4, frame.rect.width() - 6, low - high - 8)
        assert raster.count(core, LIGHT.ink, tolerance=120) > 0.98 * core.width() * core.height()


def test_a_gap_in_the_values_is_a_gap_in_the_line() -> None:
    """A nan breaks the line; a reading alone between two gaps is a dot of its own."""
    value = [5.0] * 21 + [np.nan] + [5.0] + [np.nan] + [5.0] * 20
    raster, layout = drawn(single([*range(21), 21.0, 30.0, 31.0, *range(40, 60)], value))
    frame = layout.frames[0]
    row = raster.row(frame.y(5.0), LIGHT.ink, tolerance=60)
    assert [x for x in row if abs(x - frame.x(30.0)) <= 2.0]
    for quiet in (25.5, 35.0):
        assert not [x for x in row if abs(x - frame.x(quiet)) <= 3.0]


def test_an_overload_is_a_word_at_the_top() -> None:
    """The line goes up to the word and down again; the value axis stays with the numbers."""
    plot = PLOTS["crowded"]
    raster, layout = drawn(replace(plot, flags=(), gaps=(), overlay=()))
    frame = layout.frames[0]
    assert "open" in [text for text, _ in raster.texts]
    assert frame.open_y < layout.titles[0].top()
    assert frame.axis.end < 10.0
    level = raster.row(frame.open_y, LIGHT.ink, tolerance=60)
    inside = [x for x in level if frame.x(1310.0) < x < frame.x(1390.0)]
    assert len(inside) > 0.9 * (frame.x(1390.0) - frame.x(1310.0))
    assert not [x for x in level if frame.x(800.0) < x < frame.x(1200.0)]


def test_typed_points_are_dots_joined_by_dashes() -> None:
    """What was typed is told from what was logged: a dot at each, a broken line between."""
    t_s, value = [0.0, 50.0, 100.0], [20.0, 20.0, 20.0]
    raster, layout = drawn(single(t_s, value, typed=True))
    frame = layout.frames[0]
    row = raster.row(frame.y(20.0), LIGHT.ink, tolerance=60)
    between = [x for x in row if frame.x(5.0) < x < frame.x(45.0)]
    share = len(between) / (frame.x(45.0) - frame.x(5.0))
    assert 0.4 < share < 0.8
    assert raster.near(frame.x(50.0), frame.y(20.0) - 3.0, LIGHT.ink, tolerance=60)
    assert not raster.near(frame.x(25.0), frame.y(20.0) - 3.0, LIGHT.ink, tolerance=60)


def test_the_newest_value_is_a_dot_while_it_lives() -> None:
    """A dot at now in the live colour; none on a past run, none while nothing is known."""
    live = single([0.0, 1.0, 2.0], [1.0, 2.0, 3.0])
    lost = single([0.0, 1.0, 2.0], [1.0, 2.0, np.nan])
    for plot, dotted in ((replace(live, now_s=2.0), True), (live, False), (lost, False)):
        raster, layout = drawn(plot)
        frame = layout.frames[0]
        at = QRectF(frame.x(2.0) - 8.0, frame.y(3.0) - 8.0, 16.0, 16.0)
        assert (raster.count(at, LIGHT.live) > 40) is dotted
    raster, _ = drawn(replace(lost, now_s=2.0))
    assert raster.count(QRectF(480.0, 0.0, 80.0, 310.0), LIGHT.live) == 0


def test_the_ribbon_lies_about_the_line() -> None:
    """Where a sound part would read is filled between its low and its high."""
    plot = replace(heat(opens=False), now_s=None)
    raster, layout = drawn(plot)
    frame, ribbon = layout.frames[0], plot.tracks[0].ribbon
    assert ribbon is not None
    place = 30
    column = raster.column(frame.x(float(ribbon.t_s[place])), LIGHT.band, tolerance=10)
    assert min(column) == pytest.approx(frame.y(float(ribbon.high[place])), abs=3.0)
    assert max(column) == pytest.approx(frame.y(float(ribbon.low[place])), abs=3.0)


def test_an_earlier_run_lies_behind_with_its_legend() -> None:
    """The overlay is faint on screen and dashed in print, named beside the title."""
    earlier = single([0.0, 100.0], [4.0, 4.0]).tracks
    plot = replace(single([0.0, 100.0], [6.0, 6.0]), overlay=earlier, overlay_text="Visit 3")
    for palette, least, most in ((LIGHT, 0.95, 1.0), (PRINT, 0.5, 0.75)):
        raster, layout = drawn(plot, palette)
        frame = layout.frames[0]
        row = raster.row(frame.y(4.0), palette.faint, tolerance=60)
        inside = [x for x in row if frame.rect.left() < x < frame.rect.right()]
        assert least <= len(inside) / frame.rect.width() <= most
        assert "Visit 3" in [text for text, _ in raster.texts]


def test_shelves_are_named_at_the_right() -> None:
    """Each band across the track has its name beside it, at its own height where there is room."""
    raster, layout = drawn(PLOTS["speed"])
    frame = layout.frames[0]
    places = dict(raster.texts)
    for name, middle in (("High band", 3600.0), ("Low band", 1500.0)):
        assert places[name].left() > frame.rect.right()
        assert places[name].center().y() == pytest.approx(frame.y(middle), abs=4.0)
    near = tuple(Shelf(low=100.0 + i, high=101.0 + i, text=f"Band {i}") for i in range(3))
    track = replace(single([0.0, 1.0], [0.0, 500.0]).tracks[0], shelves=near)
    crowded, _ = drawn(RunPlot(tracks=(track,), start_s=0.0, end_s=1.0))
    assert not list(overlaps(crowded.texts))


# --- flags and gaps


@given(
    st.lists(st.floats(40.0, 700.0), min_size=1, max_size=40),
    st.integers(1, 3),
)
def test_flags_never_cover_each_other(xs: list[float], rows: int) -> None:
    """Stacked or joined, no cloth lies on another, no pole goes through one, none is left out."""
    flags = tuple(PlotFlag(t_s=x, text="", number=n + 1) for n, x in enumerate(xs))
    groups = place_flags(flags, tuple(xs), rows, limit=740.0)
    assert sorted(f.number for g in groups for f in g.flags) == list(range(1, len(xs) + 1))
    boxes = [(g.row, g.left, g.left + g.width) for g in groups]
    assert all(0 <= row < rows and right <= 740.0 + 1e-9 for row, _, right in boxes)
    for i, (row, left, right) in enumerate(boxes):
        for other, second_left, second_right in boxes[i + 1 :]:
            assert row != other or right <= second_left or second_right <= left
        for group in groups:
            if group.row > row and group.x < 680.0:
                assert not left + 0.1 < group.x < right - 0.1


def test_flags_close_together_stack_then_join() -> None:
    """Two stand one above the other; a crowd shares a flag that says which numbers it holds."""
    marks = [PlotFlag(t_s=0.0, text="", number=n) for n in (1, 2, 3, 4)]
    two = place_flags(tuple(marks[:2]), (100.0, 108.0), 2)
    assert [(g.text, g.row) for g in two] == [("1", 1), ("2", 0)]
    joined = place_flags(tuple(marks), (100.0, 102.0, 104.0, 300.0), 2)
    assert [g.text for g in joined] == ["1–2", "3", "4"]
    beside = place_flags((*marks[:1], PlotFlag(t_s=0.0, text="mark")), (10.0, 11.0), 1)
    assert [g.text for g in beside] == ["1+"]


def test_gaps_are_hatched_and_named() -> None:
    """A gap is hatched over every track and named below it; a short one still shows."""
    gaps = (
        PlotGap(start_s=30.0, end_s=60.0, text="meter lost"),
        PlotGap(start_s=80.0, end_s=80.01, text="range changed"),
    )
    plot = replace(single([0.0, 100.0], [4.0, 6.0]), gaps=gaps)
    raster, layout = drawn(plot)
    frame = layout.frames[0]
    wide = QRectF(frame.x(32.0), frame.rect.top(), frame.x(58.0) - frame.x(32.0), 60.0)
    assert raster.count(wide, LIGHT.faint, tolerance=60) > 100
    clear = QRectF(frame.x(5.0), frame.rect.top(), 60.0, 60.0)
    assert raster.count(clear, LIGHT.faint, tolerance=60) == 0
    assert raster.count(
        QRectF(frame.x(80.0) - 3.0, frame.rect.top(), 6.0, 60.0), LIGHT.faint, tolerance=60
    )
    places = dict(raster.texts)
    for gap in gaps:
        middle = frame.x((gap.start_s + gap.end_s) / 2.0)
        assert places[gap.text].left() - 60.0 < middle < places[gap.text].right() + 60.0


def test_names_of_crowded_gaps_are_joined() -> None:
    """A link that is lost every few seconds is named as often as there is room for."""
    gaps = tuple(PlotGap(start_s=i, end_s=i + 0.5, text="meter lost") for i in range(1, 50))
    raster, _ = drawn(replace(single([0.0, 60.0], [4.0, 6.0]), gaps=gaps))
    assert 1 <= [text for text, _ in raster.texts].count("meter lost") <= 5
    assert not list(overlaps(raster.texts))


def test_where_it_is_low_the_first_track_stays() -> None:
    """Flag rows, names of gaps and lower tracks give way; nothing is drawn on anything."""
    for height in range(40, 311, 15):
        raster = render(
            560,
            height,
            lambda p, h=height: draw_run_plot(p, QRectF(0, 0, 560, h), PLOTS["crowded"], LIGHT),  # type: ignore[misc]
            ground=LIGHT.bench,
        )
        assert not list(overlaps(raster.texts))
        assert height < 115 or "Resistance, kΩ" in [text for text, _ in raster.texts]


# --- axes


@given(
    st.floats(-1e6, 1e6),
    st.floats(0.0, 1e6),
    st.floats(1.0, 8.0),
    st.sampled_from([None, 0.0]),
)
def test_a_value_axis_holds_what_it_shows(
    low: float, span: float, steps: float, floor_at: float | None
) -> None:
    """All of it is between the ends, two ticks at least, none too close, labels all different."""
    low = abs(low) if floor_at is not None else low
    axis = value_axis(low, low + span, steps=steps, floor_at=floor_at)
    assert axis.start <= low + 1e-9 * abs(low)
    assert axis.end >= low + span - 1e-9 * abs(low + span)
    assert floor_at is None or axis.start >= floor_at
    assert 2 <= len(axis.ticks) <= 10
    gaps = np.diff(axis.ticks) / (axis.end - axis.start)
    assert gaps.min() >= 1.0 / steps - 1e-6
    assert len({axis.label(tick) for tick in axis.ticks}) == len(axis.ticks)


def test_a_steady_reading_is_not_magnified() -> None:
    """Counts that waver by a thousandth stay a line, and not a mountain."""
    axis = value_axis(6.520, 6.526, steps=6.0)
    assert axis.end - axis.start > 0.02 * 6.5


@pytest.mark.parametrize(
    ("start", "end", "texts"),
    [
        (0.0, 1800.0, ["0", "5", "10", "15", "20", "25", "30 min"]),
        (0.0, 86_400.0, ["0", "6", "12", "18", "24 h"]),
        (45_000.0, 52_200.0, ["12:30", "13:00", "13:30", "14:00", "14:30 h"]),
        (1060.0, 1070.0, ["17:40", "17:42", "17:44", "17:46", "17:48", "17:50"]),
        (
            3700.0,
            3760.0,
            ["1:01:40", "1:01:50", "1:02:00", "1:02:10", "1:02:20", "1:02:30", "1:02:40"],
        ),
        (62.0, 62.05, ["1:02.00", "1:02.01", "1:02.02", "1:02.03", "1:02.04", "1:02.05"]),
    ],
)
def test_moments_are_round(start: float, end: float, texts: list[str]) -> None:
    """Minutes, hours or the clock, whichever is round in what is shown; the unit on the last."""
    ticks = time_ticks(start, end, most=7, words=PlotWords())
    assert [tick.text for tick in ticks if tick.text] == texts


def test_moments_count_back_from_now() -> None:
    """'90 s ago' to 'now', in the words given; further back in minutes."""
    words = PlotWords(now="jetzt", seconds_ago="vor {} s", minutes_ago="vor {} min")
    ticks = time_ticks(110.0, 200.0, most=4, words=words, now_s=200.0)
    assert [t.text for t in ticks] == ["vor 90 s", "vor 60 s", "vor 30 s", "jetzt"]
    longer = time_ticks(0.0, 600.0, most=4, words=words, now_s=600.0)
    assert [t.text for t in longer] == ["vor 10 min", "vor 5 min", "jetzt"]


def test_numbers_have_a_real_minus_and_no_minus_zero() -> None:
    """As they are printed elsewhere."""
    assert number(-0.004, 2) == "0.00"
    assert number(-4.4, 1) == "−4.4"
    assert clock(-61.0, 1.0) == "−1:01"


# --- the cursor, and nothing to draw


def test_the_cursor_says_value_and_time() -> None:
    """Its line stands at its moment, its texts beside the titles and below the axis."""
    raster, layout = drawn(PLOTS["typed"], cursor=CURSOR)
    texts = [text for text, _ in raster.texts]
    assert {"7.43 to 7.49 kΩ", "66 °C", "10:00 · Step"} <= set(texts)
    x = layout.frames[0].x(600.0)
    frame = layout.frames[1]
    assert len(raster.column(x, LIGHT.ink, tolerance=90)) > 0.8 * frame.rect.height()
    outside = replace(CURSOR, t_s=5000.0)
    assert "66 °C" not in [t for t, _ in drawn(PLOTS["typed"], cursor=outside)[0].texts]


@pytest.mark.parametrize(
    "make",
    [
        lambda: RunPlot(tracks=(), start_s=0.0, end_s=1.0),
        lambda: replace(PLOTS["heat"], end_s=0.0),
        lambda: PLOTS["heat"],
    ],
)
def test_nothing_to_draw_draws_nothing(make: Callable[[], RunPlot]) -> None:
    """No tracks, no time or no room is no error."""
    image = QImage(60, 30, QImage.Format.Format_RGB32)
    image.fill(QColor(LIGHT.bench))
    blank = image.copy()
    painter = QPainter(image)
    assert draw_run_plot(painter, QRectF(0.0, 0.0, 60.0, 30.0), make(), LIGHT) is None
    painter.end()
    assert image == blank
