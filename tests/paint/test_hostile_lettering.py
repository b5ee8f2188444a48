"""Hostile text through the lettering: inside its place, on its line, and soon."""

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QFontMetricsF, QImage, QPainter

from benchassist.core.plain_text import plain
from benchassist.paint import lettering
from benchassist.paint.lettering import Style, balance, draw_fitted, fit, wrap
from benchassist.ui.lettering import paragraph, row, runs
from tests.hostile import HOSTILE, UNKEPT

TEXTS = {**HOSTILE, **{ascii(text): text for text in UNKEPT}, "far east": "\u6f22" * 100_000}
STYLE = Style(px=26, color="#000000")
PLACE = QRectF(20, 20, 300, 80)
MOST_MEASURED = 1_000_000
"""Characters that Qt may be asked to measure for one text: some tenths of a second."""


@pytest.fixture
def painter(qapp: object) -> Iterator[QPainter]:
    """Return a painter on a picture."""
    assert qapp is not None
    image = QImage(400, 140, QImage.Format.Format_RGB32)
    made = QPainter(image)
    yield made
    made.end()


@pytest.fixture
def measured(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Return the lengths of the texts that were measured."""
    lengths: list[int] = []

    class Counted(QFontMetricsF):
        def horizontalAdvance(self, text: str) -> float:  # type: ignore[override]
            lengths.append(len(text))
            return super().horizontalAdvance(text)

    monkeypatch.setattr(lettering, "QFontMetricsF", Counted)
    return lengths


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
@pytest.mark.parametrize(
    "way",
    [
        lambda p, t: row(p, PLACE, t, STYLE),
        lambda p, t: runs(p, PLACE, ((t, STYLE), (t, STYLE))),
        lambda p, t: paragraph(p, PLACE, t, STYLE),
        lambda p, t: draw_fitted(p, 20, 60, t, STYLE, width=300),
    ],
    ids=["row", "runs", "paragraph", "fitted"],
)
def test_it_stays_in_its_place(
    painter: QPainter,
    measured: list[int],
    monkeypatch: pytest.MonkeyPatch,
    text: str,
    way: Callable[[QPainter, str], object],
) -> None:
    """Plain when it is drawn, inside the place it was given, and little of it is measured."""
    drawn: list[tuple[str, QRectF]] = []
    draw = lettering.draw

    def recorded(p: QPainter, x: float, baseline: float, said: str, style: Style) -> QRectF:
        rect = draw(p, x, baseline, said, style)
        drawn.append((said, rect))
        return rect

    monkeypatch.setattr(lettering, "draw", recorded)
    way(painter, text)
    assert drawn or not plain(text)
    for said, rect in drawn:
        assert plain(said) == said
        assert rect.left() >= PLACE.left() - 1.0
        assert rect.right() <= PLACE.right() + 1.5
    assert sum(measured) <= MOST_MEASURED


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
def test_it_breaks_into_lines_that_fit(qapp: object, measured: list[int], text: str) -> None:
    """Every line is at most as wide as asked, no sign that shows is lost on the way."""
    assert qapp is not None
    lines = wrap(text, 300.0, STYLE)
    assert all(STYLE.width(line) <= 300.5 for line in lines)
    assert "".join("".join(lines).split()) == "".join(plain(text).split())
    assert bool(balance(text, 300.0, STYLE)) == bool(plain(text).strip())
    fitted, style = fit(text, 300.0, STYLE)
    assert style.width(fitted) <= 300.5
    assert sum(measured) <= MOST_MEASURED
