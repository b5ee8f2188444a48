from dataclasses import fields

from hypothesis import given
from hypothesis import strategies as st

from benchassist.ui.bench_layout import BODY, Need, Place, bench_places

NEEDS = st.builds(
    Need,
    message=st.booleans(),
    caution=st.booleans(),
    fixes=st.integers(0, 3),
    answers=st.integers(0, 9),
    sketch=st.booleans(),
    panel=st.sampled_from((0.0, 154.0, 200.0, 400.0)),
    verdict=st.booleans(),
    big=st.booleans(),
)
BASE = Need()


def parts_of(width: float, need: Need, height: float = BODY) -> dict[str, Place]:
    """The parts that are shown. A panel may cover the row of a verdict that is not there."""
    places = bench_places(width, need, height)
    shown = {f.name: getattr(places, f.name) for f in fields(places)}
    if not need.verdict:
        del shown["verdict"]
    return {name: place for name, place in shown.items() if place is not None}


@given(NEEDS, st.floats(640.0, 2400.0), st.floats(BODY, 1200.0))
def test_no_part_covers_another_or_leaves_the_page(need: Need, width: float, height: float) -> None:
    """Whatever a view needs, its parts stand side by side inside the bench."""
    parts = parts_of(width, need, height)
    for name, a in parts.items():
        assert a.x >= 0
        assert a.y >= 0
        assert a.x + a.width <= width + 0.01
        assert a.bottom <= height, name
        assert a.height >= 20, name
        for other, b in parts.items():
            apart = (
                a.bottom <= b.y + 0.01
                or b.bottom <= a.y + 0.01
                or a.x + a.width <= b.x + 0.01
                or b.x + b.width <= a.x + 0.01
            )
            assert name == other or apart, (name, other)


def test_a_message_moves_nothing_but_the_ribbon() -> None:
    """What is wrong now takes room from the ribbon alone: the number stays where it was."""
    usual, wrong = parts_of(874.0, BASE), parts_of(874.0, Need(message=True))
    assert wrong.pop("message").bottom <= wrong["ribbon"].y
    assert {n: p for n, p in usual.items() if n != "ribbon"} == {
        n: p for n, p in wrong.items() if n != "ribbon"
    }


def test_a_reading_that_comes_moves_nothing() -> None:
    """Cautions in full and the ruler stand in the same place, so the touch moves no number."""
    waiting = bench_places(874.0, Need(caution=True, panel=150.0, verdict=False))
    reading = bench_places(874.0, Need(caution=True, panel=154.0))
    assert waiting.number == reading.number
    assert waiting.sketch == reading.sketch
    assert waiting.caution == reading.caution


def test_only_fixes_squeeze_the_drawing() -> None:
    """The drawing is 224 high, and lower only to make room for the two tiles."""
    usual = bench_places(874.0, BASE).sketch
    squeezed = bench_places(874.0, Need(fixes=2)).sketch
    assert usual is not None
    assert usual.height == 224.0
    assert squeezed is not None
    assert 160.0 < squeezed.height < 224.0
    assert squeezed.y == usual.y
