"""What the shop knows of each meter it has had: kept by the meter, not by the name of its port.

A USB lead is known by its vendor, product and serial number, a SCPI instrument by what it calls
itself, a port address (socket://...) by itself. A cheap lead without a serial number is known only
while no other of its kind is plugged in; two alike are told apart by nobody, so the user is asked.
"""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields
from pathlib import Path

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.errors import InputError, StoreError
from benchassist.services.translation import _


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownMeter:
    """A meter as it was last used. `matched_at` is a UTC time as ISO text, empty if never."""

    protocol: str = ""
    line: str = ""
    card: str = ""
    accuracy: str = ""
    matched_at: str = ""


def key_of(request: LinkRequest, ports: Sequence[PortInfo], identity: str = "") -> str:
    """What a meter is remembered by; empty where nothing tells it from another.

    `identity` is what a SCPI instrument answered to *IDN?.
    """
    if identity:
        return f"id:{identity}"
    here = next((p for p in ports if p.port == request.port), None)
    if here is None:
        return f"port:{request.port}"
    if here.vid is None or here.pid is None:
        return f"port:{here.port}"
    kind = f"usb:{here.vid:04x}:{here.pid:04x}"
    if here.serial:
        return f"{kind}:{here.serial}"
    alike = [p for p in ports if (p.vid, p.pid) == (here.vid, here.pid) and not p.serial]
    return kind if len(alike) == 1 else ""


class MeterMemory:
    """One JSON file of known meters, replaced in one step."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def recall(self, key: str) -> KnownMeter | None:
        """What is known of a meter, None for a new one. Raises InputError for a damaged file."""
        return self._read().get(key) if key else None

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
                "a meter is an object of protocol, line, card, accuracy, matched_at"
            )
        if not all(isinstance(value, str) for value in row.values()):
            raise self._damaged("what is known of a meter is text")
        return KnownMeter(**row)

    def _damaged(self, why: str) -> InputError:
        text = _("{path}: not a list of known meters ({why}); move it away to start anew")
        return InputError(text.format(path=self._path, why=why))
