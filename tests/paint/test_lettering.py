from hypothesis import example, given
from hypothesis import strategies as st
from PySide6.QtGui import QFontInfo, QFontMetricsF, QRawFont

from benchassist.paint.font import WEIGHTS, font
from benchassist.paint.lettering import Style, balance, fit, wrap

PLAIN = Style(px=16, color="#000000")
WORDS = st.lists(st.text("abcmwiΩµ0189.,", min_size=1, max_size=14), max_size=12).map(" ".join)


def test_five_weights_of_one_family() -> None:
    """Each weight asked for is the weight drawn, of Bench Sans and no system font."""
    for weight in WEIGHTS:
        info = QFontInfo(font(20, weight))
        assert (info.family(), info.weight()) == ("Bench Sans", weight)


def test_figures_are_tabular() -> None:
    """Every digit is as wide as every other, so that a changing number stands still."""
    for weight in WEIGHTS:
        metrics = QFontMetricsF(font(100, weight))
        assert len({metrics.horizontalAdvance(digit) for digit in "0123456789"}) == 1


def test_signs_of_the_trade_are_in_the_font() -> None:
    """Ω, µ, ± and ° come from the family itself, not from a font of this machine."""
    for weight in WEIGHTS:
        raw = QRawFont.fromFont(font(20, weight))
        assert all(raw.supportsCharacter(ord(sign)) for sign in "Ωµ±°–−·’“”")


@given(WORDS, st.floats(30.0, 300.0))
@example("iw.w iw.w 0", 60.0)
def test_fit_is_never_wider(text: str, width: float) -> None:
    """A fitted text is at most as wide as its room, whole if it can be shrunk, else elided."""
    shown, style = fit(text, width, PLAIN)
    assert style.width(shown) <= width
    assert 15 <= style.px <= 16
    if shown != text:
        assert shown.endswith("…")
        assert style.px == 15


@given(WORDS, st.floats(30.0, 300.0), st.floats(0.0, 25.0))
def test_wrap_loses_nothing(text: str, width: float, indent: float) -> None:
    """Wrapped lines hold every character in order, and none is wider than its room."""
    rows = wrap(text, width, PLAIN, indent=indent)
    assert "".join(rows).replace(" ", "") == text.replace(" ", "")
    for index, row in enumerate(rows):
        assert PLAIN.width(row) <= width - (indent if index == 0 else 0.0)


@given(WORDS, st.floats(30.0, 300.0))
def test_balance_cuts_no_word_that_wrap_keeps(text: str, width: float) -> None:
    """Balanced lines are as few as wrapped ones and break where blanks were."""
    rows = balance(text, width, PLAIN)
    assert len(rows) == len(wrap(text, width, PLAIN))
    if all(PLAIN.width(word) <= width for word in text.split()):
        assert " ".join(rows).split() == text.split()


def test_wrap_elides_the_last_line_it_may_use() -> None:
    """With a most number of lines the last one says that more was there."""
    rows = wrap("one two three four five six seven", 60.0, PLAIN, lines=2)
    assert len(rows) == 2
    assert rows[-1].endswith("…")
    assert PLAIN.width(rows[-1]) <= 60.0


def test_a_path_is_cut_at_its_folders() -> None:
    """A word that no line holds breaks after a slash or a hyphen, where one is far enough along."""
    rows = wrap("/home/rp/.local/share/benchassist/backups/shop-3f9a1c-before.sqlite", 240.0, PLAIN)
    assert len(rows) > 1
    assert all(row[-1] in "/-" for row in rows[:-1])
    assert "".join(rows).endswith("/backups/shop-3f9a1c-before.sqlite")
