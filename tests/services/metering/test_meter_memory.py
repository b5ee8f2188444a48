"""Meters are remembered by what they are, not by the name of the port they hang on."""

from pathlib import Path

import pytest

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.errors import InputError
from benchassist.services.metering.meter_memory import (
    KnownMeter,
    MeterMemory,
    is_lasting,
    key_of,
    twins_of,
)

LEAD = PortInfo(port="/dev/ttyUSB0", vid=0x1A2B, pid=0x0001, serial="L-77")
BARE = PortInfo(port="/dev/ttyUSB1", vid=0x1A2B, pid=0x0002)


def request(port: str) -> LinkRequest:
    """A request for a port."""
    return LinkRequest(port=port, protocol="nibble-14")


def test_a_lead_with_a_serial_number_is_known_on_any_port() -> None:
    """The same lead on another port has the same key."""
    moved = PortInfo(port="/dev/ttyUSB7", vid=0x1A2B, pid=0x0001, serial="L-77")
    assert key_of(request("/dev/ttyUSB0"), [LEAD]) == key_of(request("/dev/ttyUSB7"), [moved])


def test_two_leads_alike_without_serial_numbers_are_told_apart_by_nobody() -> None:
    """One alone is known by its kind; with a twin beside it there is no key."""
    twin = PortInfo(port="/dev/ttyUSB2", vid=0x1A2B, pid=0x0002)
    assert key_of(request("/dev/ttyUSB1"), [LEAD, BARE]) == "usb:1a2b:0002"
    assert key_of(request("/dev/ttyUSB1"), [BARE, twin]) == ""


def test_an_instrument_is_known_by_what_it_calls_itself() -> None:
    """Its answer to *IDN? wins over the port."""
    key = key_of(request("socket://192.0.2.7:5025"), [], "ACORN BENCH,D6,0042,1.0")
    assert key == "id:ACORN BENCH,D6,0042,1.0"


def test_what_is_kept_comes_back(tmp_path: Path) -> None:
    """Card, accuracy and match survive the program; nothing is kept without a key."""
    memory = MeterMemory(tmp_path / "home" / "meters.json")
    known = KnownMeter(
        protocol="nibble-14", card="practice", matched_at="2026-06-09T08:00:00+00:00"
    )
    memory.keep("usb:1a2b:0001:L-77", known)
    memory.keep("", known)
    again = MeterMemory(tmp_path / "home" / "meters.json")
    assert again.recall("usb:1a2b:0001:L-77") == known
    assert again.recall("") is None
    assert again.recall("usb:ffff:0001:X") is None


@pytest.mark.parametrize(
    "text", ["nonsense", "[]", '{"a": 3}', '{"a": {"line": 3}}', '{"a": {"x": ""}}']
)
def test_a_damaged_file_is_named_and_left_alone(tmp_path: Path, text: str) -> None:
    """One line with the path; the file is not overwritten."""
    path = tmp_path / "meters.json"
    path.write_text(text)
    with pytest.raises(InputError, match="not a list of known meters"):
        MeterMemory(path).keep("k", KnownMeter())
    assert path.read_text() == text


def test_one_number_on_two_leads_tells_them_apart_for_nobody() -> None:
    """Cheap leads share a serial number: then it is no identity while both are plugged in."""
    clone = PortInfo(port="/dev/ttyUSB5", vid=0x1A2B, pid=0x0001, serial="L-77")
    assert key_of(request("/dev/ttyUSB0"), [LEAD, clone]) == ""
    assert twins_of("/dev/ttyUSB0", [LEAD, clone, BARE]) == (clone,)
    assert twins_of("/dev/ttyUSB0", [LEAD, BARE]) == ()
    assert twins_of("/dev/elsewhere", [LEAD, clone]) == ()


def test_meters_on_leads_alike_are_kept_side_by_side(tmp_path: Path) -> None:
    """Each under the next free key; a lead with a number of its own is none of them."""
    memory = MeterMemory(tmp_path / "meters.json")
    for protocol in ("nibble-14", "text-line", "nibble-11"):
        memory.keep(memory.fresh("usb:1a2b:0002"), KnownMeter(protocol=protocol))
    memory.keep("usb:1a2b:0002:L-77", KnownMeter(protocol="scpi"))
    assert {k: m.protocol for k, m in memory.alike("usb:1a2b:0002").items()} == {
        "usb:1a2b:0002": "nibble-14",
        "usb:1a2b:0002#2": "text-line",
        "usb:1a2b:0002#3": "nibble-11",
    }


def test_what_a_lead_lives_on_is_kept_and_older_files_are_read(tmp_path: Path) -> None:
    """True, false, or unknown as in a file from before it was kept."""
    path = tmp_path / "meters.json"
    path.write_text('{"usb:1:2": {"protocol": "nibble-14", "matched_at": ""}}')
    memory = MeterMemory(path)
    assert memory.recall("usb:1:2") == KnownMeter(protocol="nibble-14")
    memory.keep("usb:1:2", KnownMeter(protocol="nibble-14", dtr=False, rts=True))
    again = MeterMemory(path).recall("usb:1:2")
    assert again is not None
    assert (again.dtr, again.rts) == (False, True)


@pytest.mark.parametrize(
    "text",
    [
        '{"a": {"dtr": "yes"}}',
        '{"a": {"matched_at": "yesterday"}}',
        '{"a": {"matched_at": "2026-06-09T08:00:00"}}',
        '{"a": {"accuracy": "very good"}}',
    ],
)
def test_what_no_meter_can_have_is_damage(tmp_path: Path, text: str) -> None:
    """A switch that is no switch, a time that is none or lacks its zone, no statement."""
    path = tmp_path / "meters.json"
    path.write_text(text)
    with pytest.raises(InputError, match="not a list of known meters"):
        MeterMemory(path).recall("a")


@pytest.mark.parametrize(
    ("key", "lasts"),
    [
        ("usb:1a2b:0002", True),
        ("id:ACORN", True),
        ("port:socket://192.0.2.7:5025", True),
        ("port:/dev/ttyS0", False),
        ("", False),
    ],
)
def test_a_key_lasts_unless_it_is_the_name_of_a_port(key: str, *, lasts: bool) -> None:
    """Tomorrow another meter may hang there."""
    assert is_lasting(key) is lasts
