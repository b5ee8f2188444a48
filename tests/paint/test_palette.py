from dataclasses import fields

import pytest
from PySide6.QtGui import QColor

from benchassist.core.band import Verdict
from benchassist.paint.palette import DARK, LIGHT, PRINT, Palette


def luminance(color: str) -> float:
    """Relative luminance (WCAG 2.2, definition of relative luminance)."""
    c = QColor(color)
    parts = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (c.redF(), c.greenF(), c.blueF())
    ]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definition of contrast ratio)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_the_extremes() -> None:
    """Black on white is 21 to 1, as the standard defines it."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)


@pytest.mark.parametrize("palette", [LIGHT, DARK, PRINT], ids=("light", "dark", "print"))
def test_text_is_readable_on_every_ground(palette: Palette) -> None:
    """Every text colour keeps 4.5 to 1 (WCAG 2.2, 1.4.3) on bench, panel and paper."""
    for ground in (palette.bench, palette.panel, palette.paper):
        for role in ("ink", "dim", "faint", "pencil", "in_text", "out_text", "close_text"):
            assert contrast(getattr(palette, role), ground) >= 4.5, role
        assert contrast(palette.cannot_text, ground) >= 4.5
    assert contrast(palette.ink, palette.band) >= 4.5
    assert contrast(palette.kraft_text, palette.kraft) >= 4.5
    assert contrast(palette.bar_text, palette.bar) >= 4.5
    assert contrast(palette.main_key_text, palette.main_key) >= 4.5
    if not palette.plain:
        assert contrast(palette.bar_dim, palette.bar) >= 4.5


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=("light", "dark"))
def test_marks_stand_out(palette: Palette) -> None:
    """Graphics that carry meaning keep 3 to 1 (WCAG 2.2, 1.4.11): edges, or their ink outline."""
    for ground in (palette.panel, palette.paper):
        assert contrast(palette.band_edge, ground) >= 3.0
        assert contrast(palette.in_mark, ground) >= 3.0
        assert contrast(palette.out_mark, ground) >= 3.0
    assert contrast(palette.ink, palette.close_mark) >= 1.5


def test_print_has_no_colour() -> None:
    """Every role in print but the key to press, which paper has not, is a grey."""
    for role in fields(PRINT):
        value = getattr(PRINT, role.name)
        if isinstance(value, str) and not role.name.startswith("main_key"):
            color = QColor(value)
            assert color.red() == color.green() == color.blue(), role.name


def test_a_verdict_has_its_colours() -> None:
    """Mark and word of the four verdicts differ; what was not judged takes no verdict's colour."""
    judged = (Verdict.IN_BAND, Verdict.OUT_OF_BAND, Verdict.TOO_CLOSE, Verdict.CANNOT_TELL)
    assert len({LIGHT.mark(verdict) for verdict in judged}) == 4
    assert len({LIGHT.text(verdict) for verdict in judged}) == 4
    assert LIGHT.mark(Verdict.RECORDED) == LIGHT.mark(None) == LIGHT.dim
    assert LIGHT.text(Verdict.BY_EYE) == LIGHT.ink
