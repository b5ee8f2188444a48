"""nibble-14: what a frame can be and what it cannot."""

import pytest

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode, Reading
from benchassist.meters.decoder import Unread
from benchassist.meters.nibble_14 import FAMILY, parse

KOHM = bytearray.fromhex("32 30 33 38 36 30 33 30 30 30 32 30 0D 0A")
"""3.860 kohm, auto."""
RANGE, TOP_DIGIT, FUNCTION, STATUS, O1, O2, O3, O4 = 0, 1, 6, 7, 8, 9, 10, 11


def changed(**at: int) -> bytes:
    """The frame with bytes replaced, by the names of their places."""
    frame = bytearray(KOHM)
    for place, byte in at.items():
        frame[globals()[place]] = byte
    return bytes(frame)


def with_parity(frame: bytes) -> bytes:
    """A frame as an adapter without parity hands it on: odd parity in bit 7."""
    return bytes(byte | (0x80 if byte.bit_count() % 2 == 0 else 0) for byte in frame)


def display(frame: bytes) -> Reading:
    """What a frame that shows something shows."""
    shown = parse(frame)
    assert shown is not None
    assert not isinstance(shown, Unread)
    return shown.reading(t_s=0.0, channel="A")


def test_parity_in_bit_seven_is_checked_and_taken_off() -> None:
    """The frame of a line read as eight bits gives the same display; one wrong bit gives none."""
    frame = with_parity(bytes(KOHM))
    assert frame == bytes.fromhex("32 B0 B3 38 B6 B0 B3 B0 B0 B0 32 B0 0D 8A")
    assert display(frame) == display(bytes(KOHM))
    for place in range(len(frame)):
        for bit in range(8):
            wrong = bytearray(frame)
            wrong[place] ^= 1 << bit
            assert parse(bytes(wrong)) is None


def test_a_stream_with_parity_is_cut_at_its_line_ends() -> None:
    """The line feed 0x8A ends a block as 0x0A does."""
    decoder = FAMILY.make_decoder("A")
    values = [r.value for r in decoder.feed(with_parity(bytes(KOHM)) * 3, 0.0)]
    assert values == [3860.0] * 3


@pytest.mark.parametrize(
    ("place", "byte", "flag"),
    [
        ("O1", 0x38, Flag.MAX),
        ("O1", 0x34, Flag.MIN),
        ("O1", 0x32, Flag.REL),
        ("O2", 0x34, Flag.MAX),
        ("O2", 0x32, Flag.MIN),
        ("O4", 0x32, Flag.HOLD),
        ("STATUS", 0x32, Flag.LOW_BATTERY),
    ],
)
def test_a_flag_travels_with_the_value(place: str, byte: int, flag: Flag) -> None:
    """Every flag that bars taking is seen beside AUTO."""
    assert display(changed(**{place: byte})).flags == {flag, Flag.AUTO}


def test_a_recording_counts_as_minimum_and_maximum() -> None:
    """While it records, what it shows need not be the value now."""
    assert display(changed(O1=0x31)).flags == {Flag.MIN, Flag.MAX, Flag.AUTO}


def test_a_range_by_hand_has_no_auto() -> None:
    """AUTO is a bit of its own."""
    assert display(changed(O3=0x30)).flags == frozenset()


def test_diode_and_continuity_are_not_plain() -> None:
    """They look like numbers of a resistance check and say what they are."""
    assert display(changed(FUNCTION=0x35)).mode is Mode.CONTINUITY
    diode = display(changed(FUNCTION=0x31, TOP_DIGIT=0x30))
    assert (diode.quantity, diode.mode) == (Quantity.VOLTAGE, Mode.DIODE)


def test_alternating_volts_say_so() -> None:
    """AC is a mode."""
    assert display(changed(FUNCTION=0x3B, O3=0x36)).mode is Mode.AC


@pytest.mark.parametrize(
    "frame",
    [
        changed(FUNCTION=0x34),
        changed(FUNCTION=0x39),
        changed(FUNCTION=0x3D),
        changed(FUNCTION=0x3E),
        changed(O2=0x38),
        changed(O3=0x31),
        changed(FUNCTION=0x32, STATUS=0x38, RANGE=0x31),
    ],
    ids=["temperature", "amps", "microamps", "adapter", "underflow", "hertz of volts", "duty"],
)
def test_a_function_we_do_not_know_is_not_read(frame: bytes) -> None:
    """A well-formed frame whose scale is not known to us gives no number."""
    assert parse(frame) is Unread.FUNCTION


@pytest.mark.parametrize(
    "frame",
    [
        changed(RANGE=0x37),
        changed(RANGE=0x3F),
        changed(TOP_DIGIT=0x3A),
        changed(TOP_DIGIT=0x33),
        changed(TOP_DIGIT=0x40),
        changed(FUNCTION=0x32),
        bytes(KOHM[:-2]) + b"\n",
        bytes(KOHM[:-1]) + b"\r",
        bytes(KOHM[1:]),
        bytes(KOHM[:5]) + bytes(KOHM[4:]),
        b"",
    ],
    ids=[
        "no such range",
        "no range",
        "digit above nine",
        "more counts than it has",
        "no nibble",
        "hertz range missing",
        "no carriage return",
        "no line feed",
        "a byte short",
        "a byte long",
        "nothing",
    ],
)
def test_what_cannot_be_a_frame_is_none(frame: bytes) -> None:
    """There is no checksum, so everything a frame cannot be is refused."""
    assert parse(frame) is None


def test_an_overload_has_no_value_whatever_its_digits() -> None:
    """The overload bit is believed, not the digits."""
    for digit in range(10):
        shown = display(changed(STATUS=0x31, TOP_DIGIT=0x30 + digit))
        assert shown.value is None
        assert shown.full_scale == 22000
