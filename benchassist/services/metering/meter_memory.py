"""What the shop knows of each meter it has had: kept by the meter, not by the name of its port.

A USB lead is known by its vendor, product and serial number, a SCPI instrument by what it calls
itself, a port address (socket://...) by itself. A cheap lead without a serial number is known only
while no other of its kind is plugged in; two alike are told apart by nobody, so the user is asked.
Meters on leads that look the same are kept side by side, as `usb:...`, `usb:...#2`, `usb:...#3`.
"""

import json
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass, fields
from datetime import datetime
from itertools import count
from pathlib import Path
from typing import Final

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.errors import InputError, StoreError
from benchassist.services.translation import _
from benchassist.units import read_accuracies


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownMeter:
    """A meter as it was last used. `matched_at` is a UTC time as ISO text, empty if never.

    `dtr` and `rts` are the lines its lead draws power from, None where the family's own serve.
    """

    protocol: str = ""
    line: str = ""
    card: str = ""
    accuracy: str = ""
    matched_at: str = ""
    dtr: bool | None = None
    rts: bool | None = None


SUPPLY: Final = frozenset({"dtr", "rts"})


def key_of(request: LinkRequest, ports: Sequence[PortInfo], identity: str = "") -> str:
    """What a meter is remembered by; empty where nothing tells it from another.

    `identity` is what a SCPI instrument answered to *IDN?.
    """
    if identity:
        return f"id:{identity}"
    return "" if twins_of(request.port, ports) else lead_key(request.port, ports)


def lead_key(port: str, ports: Sequence[PortInfo]) -> str:
    """What a lead looks like: the same for two that look the same."""
    here = next((p for p in ports if p.port == port), None)
    if here is None or here.vid is None or here.pid is None:
        return f"port:{port}"
    kind = f"usb:{here.vid:04x}:{here.pid:04x}"
    return f"{kind}:{here.serial}" if here.serial else kind


def twins_of(port: str, ports: Sequence[PortInfo]) -> tuple[PortInfo, ...]:
    """Other leads plugged in that look the same as the one on this port."""
    here = next((p for p in ports if p.port == port and p.vid is not None), None)
    if here is None:
        return ()
    looks = (here.vid, here.pid, here.serial)
    return tuple(p for p in ports if p.port != port and (p.vid, p.pid, p.serial) == looks)


def is_lasting(key: str) -> bool:
    """Whether a key still means the same meter tomorrow; the name of a local port does not."""
    return key.startswith(("id:", "usb:")) or "://" in key


class MeterMemory:
    """One JSON file of known meters, replaced in one step."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def recall(self, key: str) -> KnownMeter | None:
        """What is known of a meter, None for a new one. Raises InputError for a damaged file."""
        return self._read().get(key) if key else None

    def alike(self, lead: str) -> dict[str, KnownMeter]:
        """Every meter kept for leads that look like this one, by its key. Raises InputError."""
        known = self._read()
        return {k: m for k, m in known.items() if k == lead or k.startswith(f"{lead}#")}

    def fresh(self, lead: str) -> str:
        """A key for one more meter on a lead that looks like this one. Raises InputError."""
        taken = self._read()
        keys = (lead if number == 1 else f"{lead}#{number}" for number in count(1))
        return next(key for key in keys if key not in taken)

    def keep(self, key: str, meter: KnownMeter) -> None:
        """Remember a meter; nothing is kept under an empty key. Raises StoreError, InputError."""
        if not key:
            return
        known = self._read() | {key: meter}
        text = json.dumps({k: asdict(m) for k, m in sorted(known.items())}, indent=2)
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            fresh = self._path.with_suffix(".new")
            fresh.write_text(text + "\n", "utf-8")
            fresh.replace(self._path)
        except OSError as error:
            message = _("{path}: cannot be written ({why})")
            raise StoreError(message.format(path=self._path, why=error.strerror)) from None

    def _read(self) -> dict[str, KnownMeter]:
        try:
            given = json.loads(self._path.read_text("utf-8"))
        except FileNotFoundError:
            return {}
        except (OSError, UnicodeDecodeError, json.JSONDecodeError) as error:
            raise self._damaged(str(error)) from None
        if not isinstance(given, dict):
            raise self._damaged("not an object")
        return {str(key): self._meter(row) for key, row in given.items()}

    def _meter(self, row: object) -> KnownMeter:
        names = {f.name for f in fields(KnownMeter)}
        if not isinstance(row, dict) or not set(row) <= names:
            raise self._damaged(
                "a meter is an object of protocol, line, card, accuracy, matched_at, dtr, rts"
            )
        if not all(_fits(name, value) for name, value in row.items()):
            raise self._damaged("text, a time with its zone, true or false")
        return KnownMeter(**row)

    def _damaged(self, why: str) -> InputError:
        text = _("{path}: not a list of known meters ({why}); move it away to start anew")
        return InputError(text.format(path=self._path, why=why))


def _fits(name: str, value: object) -> bool:
    if name == "matched_at" and isinstance(value, str) and value:
        with suppress(ValueError):
            return datetime.fromisoformat(value).tzinfo is not None
        return False
    if name == "accuracy" and isinstance(value, str) and value:
        with suppress(InputError):
            return bool(read_accuracies(value))
        return False
    if name in SUPPLY:
        return value is None or isinstance(value, bool)
    return isinstance(value, str)
