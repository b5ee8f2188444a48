import pytest
from PySide6.QtCore import QRectF

from benchassist.core.band import Verdict
from benchassist.core.path import Closure
from benchassist.paint.palette import LIGHT, PRINT, Palette
from benchassist.paint.series_bar import HEIGHT, SeriesBar, paint_series_bar, verdict_of
from tests.paint.raster import Raster, overlaps, render, runs

WIDTH = 240


def bar(path: float, closure: Closure = Closure.CLOSES, **given: object) -> SeriesBar:
    """A coil of 6.5 and a cap of 4.5 on an axis to 16."""
    usual: dict[str, object] = {
        "pieces": (("coil 6.50", 6.5), ("cap 4.50", 4.5)),
        "path": path,
        "doubt": 0.1,
        "path_label": f"path {path:.2f}",
        "closure": closure,
        "unit": "kΩ",
        "top": 16.0,
        "ticks": (0.0, 4.0, 8.0, 12.0, 16.0),
    }
    return SeriesBar(**{**usual, **given})  # type: ignore[arg-type]


def drawn(shown: SeriesBar, palette: Palette = LIGHT) -> Raster:
    """The drawing from pixel 0,0."""
    return render(
        WIDTH,
        round(HEIGHT),
        lambda p: paint_series_bar(p, QRectF(0.0, 0.0, WIDTH, HEIGHT), shown, palette),
        ground=palette.panel,
    )


def x(value: float) -> float:
    """Where a value lies."""
    return value / 16.0 * WIDTH


def texts(raster: Raster) -> list[str]:
    """What was written."""
    return [text for text, _rect in raster.texts]


def test_the_pieces_lie_end_to_end_and_the_tick_at_the_path() -> None:
    """The coil ends where the cap begins; the tick stands at the path."""
    raster = drawn(bar(14.0, Closure.HIDDEN_JOINT))
    coil = raster.row(30.0, LIGHT.band, tolerance=6)
    assert coil[-1] == pytest.approx(x(6.5), abs=2.5)
    (tick,) = runs(raster.row(HEIGHT - 26.0, LIGHT.ink))
    assert (tick[0] + tick[1] + 1) / 2 == pytest.approx(x(14.0), abs=1.5)


def test_what_the_pieces_leave_unexplained_is_hatched() -> None:
    """Between sum and path, on whichever side; nothing where they agree."""
    for path, closure in ((14.0, Closure.HIDDEN_JOINT), (8.0, Closure.PARALLEL_PATH)):
        marks = drawn(bar(path, closure)).row(44.0, LIGHT.out_text, tolerance=60)
        low, high = sorted((x(path), x(11.0)))
        inside = [mark for mark in marks if low - 8.0 <= mark <= high + 8.0]
        assert inside, closure
    assert drawn(bar(11.05)).row(44.0, LIGHT.out_text, tolerance=30) == []


def test_labels_are_written_whole_or_not_at_all() -> None:
    """Pieces, path and ticks by name; a lead too thin for its label has none."""
    thin = bar(11.2, pieces=(("coil 6.50", 6.5), ("cap 4.50", 4.5), ("lead 0.20", 0.2)))
    written = " ".join(texts(drawn(thin)))
    assert "coil 6.50" in written
    assert "path 11.20" in written
    assert "16 kΩ" in written
    assert "lead" not in written
    assert "…" not in written


def test_tick_figures_never_touch() -> None:
    """Those that would meet their neighbour are left out, the last one with its unit stays."""
    crowded = bar(11.0, ticks=tuple(float(n) for n in range(17)))
    raster = drawn(crowded)
    assert [*overlaps(raster.texts)] == []
    assert "16 kΩ" in texts(raster)


def test_nothing_is_drawn_without_pieces() -> None:
    """A check that is void has words only."""
    assert drawn(bar(11.0, pieces=())).texts == []


@pytest.mark.parametrize(
    ("closure", "verdict"),
    [
        (Closure.CLOSES, Verdict.IN_BAND),
        (Closure.HIDDEN_JOINT, Verdict.OUT_OF_BAND),
        (Closure.PARALLEL_PATH, Verdict.OUT_OF_BAND),
        (Closure.UNDECIDED, Verdict.TOO_CLOSE),
        (Closure.VOID, Verdict.CANNOT_TELL),
    ],
)
def test_the_lozenge_is_drawn_in_the_manner_of_what_was_found(
    closure: Closure, verdict: Verdict
) -> None:
    """The drawing decides nothing."""
    assert verdict_of(closure) is verdict


def test_print_is_black_and_white() -> None:
    """No pixel has a colour on paper."""
    assert drawn(bar(14.0, Closure.HIDDEN_JOINT), PRINT).is_grey()
