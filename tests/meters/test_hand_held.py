"""The hand-held families: what a frame can be, what it cannot be, and what travels with it."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode, Reading
from benchassist.meters.decoder import Unread
from benchassist.meters.family import Poll
from benchassist.meters.port import LineSetting
from benchassist.meters.roster import FAMILIES, family
from benchassist.meters.shown import Display
from tests.meters.sender import SENDERS, display, with_parity

R, V, A = Quantity.RESISTANCE, Quantity.VOLTAGE, Quantity.CURRENT
C, F, T = Quantity.CAPACITANCE, Quantity.FREQUENCY, Quantity.TEMPERATURE
LINES = {
    "nibble-11": "2400-7O1",
    "nibble-14": "19200-7O1",
    "text-line": "19200-8N1",
    "stx-16": "9600-8N1",
    "ascii-14": "2400-8N1",
    "segment-14": "2400-8N1",
    "poll-14": "1200-7N2",
    "scpi": "9600-8N1",
}


def parsed(name: str, text: str | bytes) -> Display | Unread | None:
    """What a family's parser makes of a block, given in hex or as it is."""
    parse = family(name).parse
    assert parse is not None
    return parse(text if isinstance(text, bytes) else bytes.fromhex(text))


def seen(name: str, text: str | bytes) -> Reading:
    """The reading of a block that shows something."""
    shown = parsed(name, text)
    assert shown is not None, text
    assert not isinstance(shown, Unread), text
    return shown.reading(t_s=0.0, channel="A")


def changed(block: bytes, **at: int) -> bytes:
    """A block with bytes replaced, as b3=0x41."""
    frame = bytearray(block)
    for place, byte in at.items():
        frame[int(place[1:])] = byte
    return bytes(frame)


def test_every_family_has_its_line_and_its_power() -> None:
    """Default lines are the published ones; leads of hand-helds live on DTR high and RTS low."""
    assert {known.name: known.line for known in FAMILIES} == LINES
    assert all(str(LineSetting.read(line)) == line for line in LINES.values())
    fed = {known.name for known in FAMILIES if known.dtr and not known.rts}
    assert fed == set(LINES) - {"scpi"}


def test_one_family_sends_its_blocks_twice_and_one_is_asked() -> None:
    """What headless.log drops and what a reader has to send depends on it."""
    assert [known.name for known in FAMILIES if known.doubled] == ["nibble-11"]
    asked = {known.name: known.poll for known in FAMILIES if known.poll is not None}
    assert asked == {"poll-14": Poll(ask=b"D", every_s=1.0, patience_s=1.0)}


@pytest.mark.parametrize("name", SENDERS)
@given(counts=st.integers(min_value=0, max_value=3999), code=st.integers(0, 6))
def test_every_resistance_is_read_exactly(name: str, counts: int, code: int) -> None:
    """Any digits on any range come out to the digit, with one count."""
    sent = display(name, counts, code)
    shown = seen(name, SENDERS[name](sent))
    assert (shown.quantity, shown.mode) == (R, Mode.PLAIN)
    assert (shown.value, shown.resolution) == (float(sent.value), float(sent.count))


# --- nibble-11 ----------------------------------------------------------------------------------

KOHM_11 = bytes.fromhex("32 30 33 38 36 33 30 30 32 0D 0A")


@pytest.mark.parametrize(
    ("text", "quantity", "mode", "value", "full_scale"),
    [
        ("30 31 32 33 34 3B 30 30 38 0D 0A", V, Mode.PLAIN, "0.1234", "0.4"),
        ("31 31 32 33 34 3B 30 30 34 0D 0A", V, Mode.AC, "1.234", "4"),
        ("34 31 32 33 34 3B 30 30 38 0D 0A", V, Mode.PLAIN, "1234", "4000"),
        ("30 31 32 33 34 39 30 30 38 0D 0A", A, Mode.PLAIN, "0.01234", "0.04"),
        ("31 31 32 33 34 39 30 30 34 0D 0A", A, Mode.AC, "0.1234", "0.4"),
        ("30 31 32 33 34 36 30 30 30 0D 0A", C, Mode.PLAIN, "1.234E-9", "4E-9"),
        ("33 31 32 33 34 36 30 30 30 0D 0A", C, Mode.PLAIN, "1.234E-6", "4E-6"),
        ("37 31 32 33 34 36 30 30 30 0D 0A", C, Mode.PLAIN, "0.01234", "0.04"),
        ("35 31 32 33 34 32 38 30 30 0D 0A", F, Mode.PLAIN, "123400000", "400E6"),
        ("30 31 32 33 34 35 30 30 30 0D 0A", R, Mode.CONTINUITY, "123.4", "400"),
    ],
)
def test_nibble_11_ranges(
    text: str, quantity: Quantity, mode: Mode, value: str, full_scale: str
) -> None:
    """Function and range code give quantity, count and full scale."""
    shown = seen("nibble-11", text)
    assert (shown.quantity, shown.mode) == (quantity, mode)
    assert (shown.value, shown.full_scale) == (float(value), float(full_scale))


@pytest.mark.parametrize(
    "text",
    [
        "30 31 32 33 34 3D 30 30 38 0D 0A",
        "30 31 32 33 34 3F 30 30 38 0D 0A",
        "30 30 36 31 32 31 30 30 38 0D 0A",
        "30 31 32 33 34 32 30 30 30 0D 0A",
        "30 31 32 33 34 34 30 30 30 0D 0A",
        "31 31 32 33 34 3B 30 30 30 0D 0A",
        "32 30 33 38 36 33 30 31 32 0D 0A",
    ],
    ids=["uA", "A", "diode", "rpm", "no such function", "neither AC nor DC", "unknown option"],
)
def test_nibble_11_refuses_a_scale_it_does_not_know(text: str) -> None:
    """A frame of the family, no junk, and never a guessed number."""
    assert parsed("nibble-11", text) is Unread.FUNCTION


def test_nibble_11_open_probes_on_diode_are_no_resistance() -> None:
    """Above range needs no scale; the mode says that the dial is wrong."""
    shown = seen("nibble-11", "30 34 30 30 30 31 31 30 38 0D 0A")
    assert (shown.value, shown.quantity, shown.mode) == (None, V, Mode.DIODE)


@pytest.mark.parametrize(
    "text",
    [
        "36 30 33 38 36 33 30 30 32 0D 0A",
        "32 34 30 30 31 33 30 30 32 0D 0A",
        "32 30 33 3A 36 33 30 30 32 0D 0A",
        "31 30 33 38 36 35 30 30 32 0D 0A",
        "32 30 33 38 33 30 30 32 0D 0A",
        "32 30 33 38 36 36 33 30 30 32 0D 0A",
    ],
    ids=["no such range", "above 4000", "digit ten", "continuity elsewhere", "short", "long"],
)
def test_nibble_11_refuses_what_no_meter_sends(text: str) -> None:
    """There is no checksum, so a frame that cannot be is none."""
    assert parsed("nibble-11", text) is None


def test_nibble_11_flags() -> None:
    """Low battery and AUTO travel with the value; the overload bit wins over the digits."""
    assert seen("nibble-11", changed(KOHM_11, b6=0x32)).flags == {Flag.AUTO, Flag.LOW_BATTERY}
    assert seen("nibble-11", changed(KOHM_11, b8=0x30)).flags == frozenset()
    assert seen("nibble-11", changed(KOHM_11, b6=0x31)).value is None


def test_nibble_11_parity_in_bit_seven() -> None:
    """Odd parity is checked and taken off; one wrong bit anywhere and there is no frame."""
    frame = with_parity(KOHM_11)
    assert seen("nibble-11", frame).value == 3860
    flips = [
        changed(frame, **{f"b{n}": frame[n] ^ 1 << bit}) for n in range(11) for bit in range(8)
    ]
    assert {parsed("nibble-11", flip) for flip in flips} == {None}


def test_nibble_11_twins_are_one_reading() -> None:
    """Sent twice in each cycle, read once; equal values of the next cycle are kept."""
    decoder = family("nibble-11").make_decoder("A")
    arrivals = [0.0, 0.046, 0.4, 0.446, 0.8, 0.846]
    assert [r.t_s for t in arrivals for r in decoder.feed(KOHM_11, t)] == [0.0, 0.4, 0.8]


# --- ascii-14 -----------------------------------------------------------------------------------

KOHM_A = bytes.fromhex("2B 33 38 36 30 20 31 20 00 20 20 00 0D 0A")


@pytest.mark.parametrize("bar", [0x0D, 0x0A, 0xFF])
def test_ascii_14_line_ends_among_flags(bar: int) -> None:
    """Bytes 0x0D and 0x0A in flags and bar cut nothing."""
    frame = changed(KOHM_A, b7=0x0A, b11=bar)
    decoder = family("ascii-14").make_decoder("A")
    found = decoder.feed(frame * 3, 0.0)
    assert [r.value for r in found] == [3860.0] * 3
    assert {(r.mode, r.flags) for r in found} == {(Mode.AC, frozenset({Flag.HOLD}))}
    assert decoder.bad_bytes == 0


@pytest.mark.parametrize(
    ("place", "byte", "flags"),
    [
        ("b7", 0x22, {Flag.AUTO, Flag.HOLD}),
        ("b7", 0x24, {Flag.AUTO, Flag.REL}),
        ("b7", 0x01, set()),
        ("b8", 0x20, {Flag.AUTO, Flag.MAX}),
        ("b8", 0x10, {Flag.AUTO, Flag.MIN}),
        ("b8", 0x04, {Flag.AUTO, Flag.LOW_BATTERY}),
        ("b8", 0x08, {Flag.AUTO}),
    ],
)
def test_ascii_14_flags(place: str, byte: int, flags: set[Flag]) -> None:
    """Each symbol that bars taking is seen."""
    assert seen("ascii-14", changed(KOHM_A, **{place: byte})).flags == flags


@pytest.mark.parametrize(
    ("b7", "b8", "b9", "b10", "quantity", "mode", "exponent"),
    [
        (0x10, 0, 0x00, 0x80, V, Mode.PLAIN, 0),
        (0x08, 0, 0x40, 0x80, V, Mode.AC, -3),
        (0x18, 0, 0x00, 0x80, V, Mode.AC, 0),
        (0x10, 0, 0x80, 0x40, A, Mode.PLAIN, -6),
        (0x08, 0, 0x00, 0x40, A, Mode.AC, 0),
        (0x00, 2, 0x00, 0x04, C, Mode.PLAIN, -9),
        (0x00, 0, 0x80, 0x04, C, Mode.PLAIN, -6),
        (0x00, 0, 0x20, 0x10, F, Mode.PLAIN, 3),
        (0x00, 0, 0x04, 0x80, V, Mode.DIODE, 0),
        (0x00, 0, 0x08, 0x20, R, Mode.CONTINUITY, 0),
        (0x00, 0, 0x00, 0x02, T, Mode.PLAIN, 0),
    ],
)
def test_ascii_14_units(  # noqa: PLR0917 - a table's columns
    b7: int, b8: int, b9: int, b10: int, quantity: Quantity, mode: Mode, exponent: int
) -> None:
    """Unit, prefix and mode by their bits."""
    shown = seen("ascii-14", changed(KOHM_A, b7=b7, b8=b8, b9=b9, b10=b10))
    assert (shown.quantity, shown.mode, shown.exponent) == (quantity, mode, exponent)
    assert shown.value == float(Decimal("3.860").scaleb(exponent))


def test_ascii_14_fahrenheit_becomes_celsius() -> None:
    """77 degrees Fahrenheit are 25 degrees Celsius, one count five ninths."""
    shown = seen("ascii-14", "2B 30 30 37 37 20 30 00 00 00 01 00 0D 0A")
    assert (shown.value, shown.resolution) == (25.0, 5 / 9)


@pytest.mark.parametrize("point", [ord("3"), ord("4")])
def test_ascii_14_two_ways_to_write_one_decimal(point: int) -> None:
    """Both are ddd.d."""
    assert seen("ascii-14", changed(KOHM_A, b6=point)).resolution == 100


@pytest.mark.parametrize(
    "frame",
    [
        changed(KOHM_A, b0=0x20),
        changed(KOHM_A, b1=0x3F),
        changed(KOHM_A, b5=0x30),
        changed(KOHM_A, b6=0x35),
        changed(KOHM_A, b9=0x60),
        changed(KOHM_A, b10=0xA0),
        changed(KOHM_A, b9=0x40),
        changed(KOHM_A, b9=0x00, b10=0x04),
        changed(KOHM_A, b12=0x0A),
        KOHM_A[1:],
        KOHM_A + b"\n",
    ],
    ids=[
        *("sign", "digit", "space", "point", "two prefixes", "two units", "milliohm"),
        *("whole farads", "no CR", "short", "long"),
    ],
)
def test_ascii_14_refuses_what_no_display_shows(frame: bytes) -> None:
    """Every fixed place is checked, and that unit and prefix go together."""
    assert parsed("ascii-14", frame) is None


@pytest.mark.parametrize(
    "frame",
    [
        changed(KOHM_A, b10=0x00),
        changed(KOHM_A, b9=0x00, b10=0x08),
        changed(KOHM_A, b9=0x02),
        changed(KOHM_A, b7=0x20, b9=0x00, b10=0x80),
        changed(KOHM_A, b9=0x24),
        changed(KOHM_A, b9=0x28, b10=0x80),
        changed(KOHM_A, b8=0x01),
        changed(KOHM_A, b7=0xA0),
    ],
    ids=["no unit", "hFE", "%", "V of neither kind", "diode ohms", "beep volts", "own", "own 2"],
)
def test_ascii_14_does_not_guess(frame: bytes) -> None:
    """A frame whose meaning is not known is not read, and is no junk either."""
    assert parsed("ascii-14", frame) is Unread.FUNCTION


# --- segment-14 ---------------------------------------------------------------------------------

KOHM_S = bytes.fromhex("13 20 30 41 5F 6F 7F 87 9E A2 B0 C4 D0 E0")
OVER_S = bytes.fromhex("13 20 30 47 5D 6E 78 80 90 A0 B2 C4 D0 E0")


@pytest.mark.parametrize(
    ("place", "byte", "flags"),
    [
        ("b11", 0xC5, {Flag.AUTO, Flag.HOLD}),
        ("b11", 0xC6, {Flag.AUTO, Flag.REL}),
        ("b12", 0xD1, {Flag.AUTO, Flag.LOW_BATTERY}),
        ("b0", 0x11, set()),
    ],
)
def test_segment_14_flags(place: str, byte: int, flags: set[Flag]) -> None:
    """Each symbol that bars taking is seen."""
    assert seen("segment-14", changed(KOHM_S, **{place: byte})).flags == flags


@pytest.mark.parametrize(
    ("at", "quantity", "mode", "exponent"),
    [
        ({"b0": 0x15, "b9": 0xA0, "b10": 0xB8, "b11": 0xC0, "b12": 0xD4}, V, Mode.PLAIN, -3),
        ({"b0": 0x19, "b9": 0xA0, "b11": 0xC0, "b12": 0xD4}, V, Mode.AC, 0),
        ({"b0": 0x15, "b9": 0xA8, "b11": 0xC0, "b12": 0xD8}, A, Mode.PLAIN, -6),
        ({"b0": 0x11, "b9": 0xA4, "b11": 0xC8}, C, Mode.PLAIN, -9),
        ({"b0": 0x11, "b9": 0xA1, "b11": 0xC0, "b12": 0xD4}, V, Mode.DIODE, 0),
        ({"b0": 0x11, "b9": 0xA0, "b10": 0xB1}, R, Mode.CONTINUITY, 0),
        ({"b0": 0x11, "b9": 0xA2, "b11": 0xC0, "b12": 0xD2}, F, Mode.PLAIN, 3),
    ],
)
def test_segment_14_units(
    at: dict[str, int], quantity: Quantity, mode: Mode, exponent: int
) -> None:
    """Unit, prefix and mode by their bits."""
    shown = seen("segment-14", changed(KOHM_S, **at))
    assert (shown.quantity, shown.mode, shown.exponent) == (quantity, mode, exponent)
    assert shown.value == float(Decimal("3.86").scaleb(exponent))


@pytest.mark.parametrize(
    "frame",
    [
        changed(KOHM_S, b3=0x42),
        changed(KOHM_S, b0=0x12),
        changed(KOHM_S, b7=0x8F),
        changed(KOHM_S, b1=0x25, b2=0x3B, b3=0x40, b4=0x50),
        changed(KOHM_S, b3=0x40, b4=0x50),
        changed(KOHM_S, b1=0x26, b2=0x38),
        changed(KOHM_S, b1=0x2F, b2=0x3F),
        changed(KOHM_S, b10=0xB2),
        changed(KOHM_S, b12=0xD4),
        changed(KOHM_S, b13=0xF0),
        changed(OVER_S, b7=0x87, b8=0x9E),
        KOHM_S[1:],
    ],
    ids=[
        *("no such digit", "not sending", "two points", "gap in digits", "bare point"),
        *(
            "L among digits",
            "above 4000",
            "two prefixes",
            "two units",
            "index",
            "L and a digit",
            "short",
        ),
    ],
)
def test_segment_14_refuses_what_no_display_shows(frame: bytes) -> None:
    """Bad segments, two points, units and prefixes that contradict each other."""
    assert parsed("segment-14", frame) is None


@pytest.mark.parametrize(
    "frame",
    [
        changed(KOHM_S, b11=0xC0),
        changed(KOHM_S, b10=0xB4),
        changed(KOHM_S, b13=0xE1),
        changed(KOHM_S, b9=0xA0, b11=0xC0, b13=0xE3),
    ],
    ids=["no unit", "%", "own beside ohms", "two of its own"],
)
def test_segment_14_does_not_guess(frame: bytes) -> None:
    """A frame whose meaning is not known is not read."""
    assert parsed("segment-14", frame) is Unread.FUNCTION


def test_segment_14_own_symbol_leaves_the_quantity_open() -> None:
    """Which symbol is degrees is wired in each meter: a number without a name."""
    shown = seen("segment-14", "11 27 3D 47 5D 65 7B 83 9E A0 B0 C0 D0 E1")
    assert shown.value == 25
    assert shown.quantity is None


def test_segment_14_blank_display_is_no_reading_and_no_junk() -> None:
    """Between two displays all digits are dark for a moment."""
    dark = changed(KOHM_S, b1=0x20, b2=0x30, b3=0x40, b4=0x50, b5=0x60, b6=0x70, b7=0x80, b8=0x90)
    assert parsed("segment-14", dark) is Unread.ASIDE


# --- stx-16 -------------------------------------------------------------------------------------

KOHM_X = bytes.fromhex("02 34 31 33 39 30 32 30 30 30 30 30 33 38 36 0D")


@pytest.mark.parametrize(
    ("code", "quantity", "mode", "exponent"),
    [
        *(("18", V, Mode.PLAIN, -3), ("34", V, Mode.PLAIN, 0), ("49", V, Mode.AC, -3)),
        *(("50", V, Mode.AC, 0), ("35", A, Mode.PLAIN, -6), ("37", A, Mode.PLAIN, -3)),
        *(("36", A, Mode.PLAIN, 0), ("51", A, Mode.AC, -6), ("53", A, Mode.AC, -3)),
        *(("52", A, Mode.AC, 0), ("38", R, Mode.PLAIN, 0), ("39", R, Mode.PLAIN, 3)),
        *(("40", R, Mode.PLAIN, 6), ("31", F, Mode.PLAIN, 0), ("33", F, Mode.PLAIN, 3)),
        *(("67", F, Mode.PLAIN, 6), ("01", T, Mode.PLAIN, 0), ("43", C, Mode.PLAIN, -9)),
        *(("44", C, Mode.PLAIN, -6), ("A4", C, Mode.PLAIN, -12), ("a4", C, Mode.PLAIN, -12)),
        ("46", V, Mode.DIODE, 0),
    ],
)
def test_stx_16_annunciators(code: str, quantity: Quantity, mode: Mode, exponent: int) -> None:
    """Each code of the published table."""
    shown = seen("stx-16", KOHM_X[:3] + code.encode() + KOHM_X[5:])
    assert (shown.quantity, shown.mode, shown.exponent) == (quantity, mode, exponent)
    assert shown.value == float(Decimal("3.86").scaleb(exponent))


def test_stx_16_fahrenheit_becomes_celsius() -> None:
    """212 degrees are 100."""
    assert seen("stx-16", b"\x0241020100002120\r").value == 100


def test_stx_16_second_display_is_set_aside() -> None:
    """Its frames between those of the main one give no reading, no junk and no notice."""
    decoder = family("stx-16").make_decoder("A")
    second = changed(KOHM_X, b2=0x32, b3=0x33, b4=0x31)
    found = decoder.feed((KOHM_X + second) * 3, 0.0)
    assert [r.value for r in found] == [3860.0] * 3
    assert (decoder.bad_bytes, decoder.unread) == (0, False)


def test_stx_16_finds_its_start_behind_junk() -> None:
    """STX begins a frame wherever it stands."""
    decoder = family("stx-16").make_decoder("A")
    found = decoder.feed(b"\n\x02\x0241" + KOHM_X + b"\n" + KOHM_X, 0.0)
    assert [r.value for r in found] == [3860.0] * 2


@pytest.mark.parametrize(
    ("frame", "expected"),
    [
        (changed(KOHM_X, b9=ord("L")), Unread.ASIDE),
        (changed(KOHM_X, b14=ord(" ")), Unread.ASIDE),
        (changed(KOHM_X, b3=ord("9")), Unread.FUNCTION),
        (changed(KOHM_X, b1=ord("5")), None),
        (changed(KOHM_X, b2=ord("3")), None),
        (changed(KOHM_X, b5=ord("2")), None),
        (changed(KOHM_X, b6=ord("4")), None),
        (changed(KOHM_X, b9=0x80), None),
        (changed(KOHM_X, b15=0x0A), None),
        (KOHM_X[:-2] + b"\r", None),
    ],
    ids=[
        *("letter", "blank", "no such unit", "no 4", "display 3", "polarity", "point"),
        *("no letter", "no CR", "short"),
    ],
)
def test_stx_16_refuses(frame: bytes, expected: Unread | None) -> None:
    """What is not published is no number; what no meter sends is no frame."""
    assert parsed("stx-16", frame) is expected


# --- poll-14 ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "quantity", "mode", "value", "count"),
    [
        ("OH  12.34MOhm\r", R, Mode.PLAIN, "12.34E6", "1E4"),
        ("DC   00.5  mV\r", V, Mode.PLAIN, "0.5E-3", "1E-4"),
        ("AC  230.1   V\r", V, Mode.AC, "230.1", "0.1"),
        ("AC  0.123   A\r", A, Mode.AC, "0.123", "0.001"),
        ("DC -10.00  uA\r", A, Mode.PLAIN, "-10E-6", "1E-8"),
        ("DC  - 1.0   V\r", V, Mode.PLAIN, "-1.0", "0.1"),
        ("DI  0.612   V\r", V, Mode.DIODE, "0.612", "0.001"),
        ("CA  4.700  uF\r", C, Mode.PLAIN, "4.7E-6", "1E-9"),
        ("FR  1.200 kHz\r", F, Mode.PLAIN, "1200", "1"),
        ("TE   0212   F\r", T, Mode.PLAIN, "100", None),
        ("TE  -0005   C\r", T, Mode.PLAIN, "-5", "1"),
        ("OH    12.kOhm\r", R, Mode.PLAIN, "12000", "1000"),
    ],
)
def test_poll_14_answers(
    text: str, quantity: Quantity, mode: Mode, value: str, count: str | None
) -> None:
    """Fields are stripped; function and unit together say what it is."""
    shown = seen("poll-14", text.encode())
    assert (shown.quantity, shown.mode, shown.value) == (quantity, mode, float(value))
    assert count is None or shown.resolution == float(count)


@pytest.mark.parametrize("value", ["   O.L ", "     OL", "    0L.", "   -O.L", "    .OL"])
def test_poll_14_over_range(value: str) -> None:
    """An L where digits were; never a number."""
    shown = seen("poll-14", f"OH{value}MOhm\r".encode())
    assert (shown.value, shown.resolution, shown.quantity) == (None, None, R)


@pytest.mark.parametrize(
    "text",
    [
        "OH   3.86  kV\r",
        "DC   3.86kOhm\r",
        "OH   3.86    \r",
        "OH   3,86kOhm\r",
        "OH  3.8.6kOhm\r",
        "OH   3.L6kOhm\r",
        "OH       kOhm\r",
        "OH   3.86mOhm\r",
        "oh   3.86kOhm\r",
        "OH   3.86kOhm",
        "OH    3.86kOhm\r",
        "TE   0025  kC\r",
        "CA   0025   F\r",
    ],
)
def test_poll_14_refuses(text: str) -> None:
    """Function against unit, no unit, two points, letters among digits, a wrong length."""
    assert parsed("poll-14", text.encode()) is None


def test_poll_14_other_functions_are_not_read() -> None:
    """A well-formed answer of a function that is not known."""
    assert parsed("poll-14", b"HF   0123    \r") is Unread.FUNCTION


# --- text-line ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("digits", "is_read"),
    [("123456789", True), ("1234.56789", True), ("1234567890", False), ("1.234567890", False)],
)
def test_text_line_has_nine_digits_at_most(digits: str, is_read: bool) -> None:
    """No display shows more; found by the coverage-guided fuzzer as 2E+38 degrees."""
    found = parsed("text-line", f"TMP {digits} C\r\n".encode())
    assert (found is not None) is is_read
