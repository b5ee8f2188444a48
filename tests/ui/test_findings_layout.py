from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.paint.palette import LIGHT
from benchassist.ui.bench_layout import Place
from benchassist.ui.findings_layout import (
    BODY,
    CARDS_LEAST,
    FEWEST,
    HEAD,
    ROW,
    FrontNeed,
    front_places,
)
from benchassist.ui.findings_room import stretch_of
from benchassist.ui.findings_text import Piece, column_height, fitted
from benchassist.ui.lettering import Style

NEEDS = st.builds(
    FrontNeed,
    message=st.booleans(),
    headline=st.integers(0, 2),
    rows=st.integers(0, 16),
    named=st.booleans(),
    aloud=st.sampled_from((0.0, 26.0, 44.2, 88.4)),
    foot=st.sampled_from((0.0, 26.0, 48.0)),
    slims=st.integers(0, 2),
    test=st.booleans(),
    card=st.sampled_from((0.0, 250.0, 330.0, 500.0)),
    long=st.booleans(),
    series=st.booleans(),
    stake=st.booleans(),
    series_drawn=st.booleans(),
    stake_drawn=st.booleans(),
)


def parts_of(width: float, need: FrontNeed, height: float) -> list[Place]:
    """The places that are given."""
    at = front_places(width, need, height)
    shown = [getattr(at, field.name) for field in fields(at)]
    single = [place for place in shown if isinstance(place, Place)]
    return [*single, *at.slims]


@given(NEEDS, st.floats(640.0, 2400.0), st.floats(BODY, 1200.0))
def test_no_part_covers_another_or_leaves_the_page(
    need: FrontNeed, width: float, height: float
) -> None:
    """Whatever a view needs, its parts stand side by side inside the page."""
    parts = parts_of(width, need, height)
    for i, a in enumerate(parts):
        assert a.x >= 0
        assert a.y >= 0
        assert a.x + a.width <= width + 0.01
        assert a.bottom <= height + 0.01
        assert a.height >= 20
        for b in parts[i + 1 :]:
            assert (
                a.bottom <= b.y + 0.01
                or b.bottom <= a.y + 0.01
                or a.x + a.width <= b.x + 0.01
                or b.x + b.width <= a.x + 0.01
            ), (a, b)


@given(NEEDS, st.floats(BODY, 1200.0))
def test_the_cards_come_before_more_causes(need: FrontNeed, height: float) -> None:
    """A fourth cause only where the cards keep their height; the first always shows."""
    at = front_places(874.0, need, height)
    if need.test and need.rows > FEWEST and at.causes.height > HEAD + 5 * ROW:
        assert at.test.height >= CARDS_LEAST
    assert at.causes.height >= HEAD + ROW


def test_a_message_moves_no_card() -> None:
    """It takes its room from the title alone."""
    usual = front_places(874.0, FrontNeed(rows=5, foot=26.0))
    wrong = front_places(874.0, FrontNeed(rows=5, foot=26.0, message=True))
    assert wrong.test.bottom == usual.test.bottom
    assert wrong.message is not None
    assert wrong.message.bottom <= wrong.title.y


@given(
    st.lists(st.floats(40.0, 160.0), min_size=1, max_size=40), st.data(), st.floats(200.0, 600.0)
)
def test_the_cursor_is_always_in_view(
    heights: list[float], data: st.DataObject, room: float
) -> None:
    """The rows shown hold the cursor's and fit their room."""
    cursor = data.draw(st.integers(0, len(heights) - 1))
    shown = stretch_of(heights, cursor, room)
    assert shown.first <= cursor < shown.first + shown.count
    assert sum(heights[shown.first : shown.first + shown.count]) <= room + 0.5


def piece(text: str, *, px: int = 20, spare: int = 0) -> Piece:
    """A text in ink."""
    return Piece(text=text, style=Style(px=px, color=LIGHT.ink), spare=spare)


@pytest.mark.usefixtures("qapp")
def test_texts_are_set_smaller_together_and_the_spare_one_goes_first() -> None:
    """In a tall room all are as given; in a low one the spare is left out, then all shrink."""
    pieces = (piece("one two three " * 6), piece("spare " * 12, spare=1))
    tall = fitted(pieces, 300.0, 900.0)
    assert tall == pieces
    low = fitted(pieces, 300.0, 50.0)
    assert [one.spare for one in low] == [0]
    assert column_height(low, 300.0) <= 50.0
    assert low[0].style.px < 20


@pytest.mark.usefixtures("qapp")
def test_no_line_begins_with_a_per_cent_sign() -> None:
    """The figure goes down with it."""
    text = "Pays if the chance of a comeback is above 38 %."
    for width in range(120, 420, 5):
        assert not any(row.startswith("%") for row in piece(text).lines(float(width)))
