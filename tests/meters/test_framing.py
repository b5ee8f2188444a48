"""Cutting bytes into blocks."""

from benchassist.meters.framing import BUFFER, LineSplitter, WindowSplitter


def window() -> WindowSplitter:
    """Blocks of four bytes that begin with A and end with Z; 0x0A may stand in them."""
    return WindowSplitter(4, lambda data: data[:1] == b"A" and data[-1:] == b"Z")


def test_a_window_slides_over_junk() -> None:
    """Bytes before and between blocks are counted as spilt, one by one."""
    splitter = window()
    blocks = splitter.feed(b"xxA\n1Z?A\r2ZA", 0.0)
    assert [block.data for block in blocks] == [b"A\n1Z", b"A\r2Z"]
    assert splitter.spilt == 3


def test_a_window_finds_a_block_inside_a_false_start() -> None:
    """An A that begins no block does not hide the one behind it."""
    assert [b.data for b in window().feed(b"AAA12Z", 0.0)] == [b"A12Z"]


def test_a_window_is_bounded_and_forgets() -> None:
    """It never holds a whole block that did not fit; what was begun goes after a silence."""
    splitter = window()
    splitter.feed(b"A" * 100_000, 0.0)
    assert splitter.spilt == 100_000 - 3
    assert splitter.feed(b"Z", 99.0) == []
    splitter.feed(b"A12", 99.1)
    splitter.reset()
    assert splitter.feed(b"Z", 99.2) == []


def test_a_block_knows_when_its_first_byte_came() -> None:
    """Also when it came in pieces, for both ways of cutting."""
    lines = LineSplitter(b"\n")
    lines.feed(b"ab", 1.0)
    assert [b.start_s for b in lines.feed(b"c\nd\n", 1.2)] == [1.0, 1.2]
    sliding = window()
    sliding.feed(b"xA", 1.0)
    assert [b.start_s for b in sliding.feed(b"12Z", 1.2)] == [1.0]


def test_a_line_too_long_is_thrown_away_up_to_its_end() -> None:
    """Its tail is not taken for a line."""
    splitter = LineSplitter(b"\n", longest=8)
    assert splitter.feed(b"123456789", 0.0) == []
    assert [b.data for b in splitter.feed(b"tail\nnext\n", 0.0)] == [b"next\n"]
    assert splitter.spilt == 9 + 5


def test_patience_is_learned_from_the_pauses() -> None:
    """A block may take twice the usual pause, at least half a second."""
    splitter = LineSplitter(b"\n")
    for second in range(4):
        splitter.feed(b"line\n", float(second))
    splitter.feed(b"li", 4.0)
    assert [b.data for b in splitter.feed(b"ne\n", 5.9)] == [b"line\n"]
    splitter.feed(b"li", 6.0)
    assert [b.data for b in splitter.feed(b"ne\n", 8.1)] == [b"ne\n"]


def test_the_buffer_has_a_limit() -> None:
    """No family may ask for more."""
    splitter = LineSplitter(b"\n", longest=10 * BUFFER)
    splitter.feed(b"x" * (BUFFER + 1), 0.0)
    assert splitter.spilt == BUFFER + 1
