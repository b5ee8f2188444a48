"""Meters are remembered by what they are, not by the name of the port they hang on."""

from pathlib import Path

import pytest

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.errors import InputError
from benchassist.services.meter_memory import KnownMeter, MeterMemory, key_of

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
