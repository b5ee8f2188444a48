import pytest
from PySide6.QtCore import QRectF

from benchassist.paint.jaws import FACE, JawLook, paint_jaws
from benchassist.paint.palette import LIGHT
from tests.paint.raster import Raster, render, runs

WIDTH = 506


def drawn(closure: float, look: JawLook = JawLook.LIVE, words: str = "") -> Raster:
    """The well at its design size."""
    rect = QRectF(0.0, 0.0, WIDTH, 20.0)
    return render(WIDTH, 20, lambda p: paint_jaws(p, rect, closure, LIGHT, look=look, words=words))


@pytest.mark.parametrize("closure", [0.1, 0.5, 0.9])
def test_jaws_close_from_both_ends(closure: float) -> None:
    """Each jaw reaches as far as the reading is steady, an ink face at its end."""
    raster = drawn(closure)
    left, right = runs(raster.row(10.0, LIGHT.ink))
    reach = closure * WIDTH / 2.0
    assert left[1] + 1 == pytest.approx(reach, abs=1.0)
    assert right[0] == pytest.approx(WIDTH - reach, abs=1.0)
    assert left[1] - left[0] + 1 == pytest.approx(FACE, abs=1.0)
    assert raster.near(2, 10, LIGHT.live)
    assert raster.near(WIDTH // 2, 10, LIGHT.well)


def test_jaws_that_meet_leave_no_well() -> None:
    """Met: one tone from end to end but for the two faces in the middle."""
    raster = drawn(1.0)
    assert raster.row(10.0, LIGHT.well, tolerance=6) == []
    (faces,) = runs(raster.row(10.0, LIGHT.ink))
    assert (faces[0] + faces[1] + 1) / 2.0 == pytest.approx(WIDTH / 2.0, abs=1.0)
    assert faces[1] - faces[0] + 1 == pytest.approx(2.0 * FACE, abs=1.0)


@pytest.mark.parametrize("closure", [-3.0, 7.0])
def test_a_closure_out_of_range_is_an_end(closure: float) -> None:
    """What is beyond open or met is drawn open or met."""
    assert drawn(closure).image == drawn(0.0 if closure < 0.0 else 1.0).image


def test_met_but_cannot_tell_is_hatched() -> None:
    """Met jaws of a meter that cannot tell are striped, and nothing is in the live colour."""
    raster = drawn(1.0, JawLook.HATCHED)
    assert len(runs(raster.row(10.0, LIGHT.cannot_text, tolerance=60))) > 30
    assert raster.row(10.0, LIGHT.live) == []


def test_nothing_to_hold_is_an_empty_dashed_slot() -> None:
    """No meter or a stale reading: dashes around, nothing within."""
    raster = drawn(0.7, JawLook.EMPTY)
    assert len(runs(raster.row(1.0, LIGHT.faint, tolerance=60))) > 20
    assert len(raster.row(10.0, "#ffffff", tolerance=2)) > WIDTH - 8


def test_typed_has_words_in_place_of_jaws() -> None:
    """By hand there are no jaws; the words stand inside the bar."""
    raster = drawn(0.7, JawLook.BAR, "by hand: jaws don’t apply")
    ((text, rect),) = raster.texts
    assert text == "by hand: jaws don’t apply"
    assert QRectF(0.0, 0.0, WIDTH, 20.0).contains(rect)
    assert raster.row(10.0, LIGHT.live) == []
