"""Composition root: builds, wires and stops the parts in order. No logic.

`opening` opens windows and plays the practice visit, `record` reads what a shop has kept.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from gettext import gettext as _
from pathlib import Path
from typing import TYPE_CHECKING

from benchassist.errors import BenchError, InputError

if TYPE_CHECKING:
    from benchassist.core.reading import Reading
    from benchassist.meters.room import Room
    from benchassist.services.metering.meter_log import LogRequest
    from benchassist.services.settings import Settings
    from benchassist.services.shop import Shop
    from benchassist.specbook.book import Book
    from benchassist.storage.photo_shelf import PhotoShelf
    from benchassist.storage.store import SqlStore

THEMES = ("system", "light", "dark")


class SystemClock:
    """The computer's clocks."""

    def monotonic(self) -> float:
        """Seconds, never going back; where the system can tell, they pass in sleep as well."""
        asleep_too = getattr(time, "CLOCK_BOOTTIME", None)
        return time.monotonic() if asleep_too is None else time.clock_gettime(asleep_too)

    def now(self) -> datetime:
        """Aware UTC."""
        return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a shop's records are, and the folder of its settings and own profiles."""

    shop: str
    home: Path
    named: bool = True
    """Whether the shop was named, or is this user's own that may not be there yet."""

    @property
    def on_server(self) -> bool:
        """Whether the shop has an address instead of a file."""
        return "://" in self.shop

    @property
    def journals(self) -> Path:
        """Where a bench keeps what a server does not take while it is away."""
        return self.home / "journal"


def place_of(shop: str | None, home: str | None) -> Place:
    """The named places, or this user's own. Raises InputError for a home that is no folder."""
    from platformdirs import user_data_path

    folder = Path(home) if home else user_data_path("benchassist", appauthor=False)
    there = next((f for f in (folder, *folder.parents) if f.exists()), folder)
    if there.exists() and not there.is_dir():
        raise InputError(f"--home '{folder}': {there} is a file, name a folder")
    return Place(shop or str(folder / "shop.sqlite"), folder, named=bool(shop))


def settings_of(place: Place) -> Settings:
    """The shop's settings."""
    from benchassist.services.settings import SettingsFile

    return SettingsFile(place.home / "settings.json").read()


def peek_theme(place: Place) -> str:
    """The palette that is set, read with nothing that is heavy; 'system' whatever is wrong."""
    import json

    try:
        given = json.loads((place.home / "settings.json").read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return "system"
    theme = given.get("theme") if isinstance(given, dict) else None
    return theme if isinstance(theme, str) and theme in THEMES else "system"


def open_store(place: Place, *, bench: bool = False, looked: bool = False) -> SqlStore:
    """The shop's store, made where it is not there, backed up before a migration.

    `bench`: work is done on it, and goes on while a server is away. `looked`: it was just seen that
    there is none to be done. Raises ShopFileError in one line.
    """
    from benchassist.assembly.migration import migrate, migration_due
    from benchassist.storage import open_store as open_shop_file

    if not place.on_server:
        make_folder(Path(place.shop).parent)
    if not looked and (due := migration_due(place, bench=bench)) is not None:
        migrate(place, due)
    return open_shop_file(
        place.shop, journals=place.journals if bench and place.on_server else None
    )


def read_store(place: Place) -> SqlStore:
    """The shop's store to look at only. Raises InputError where there is none."""
    from benchassist.storage import open_store as open_shop_file

    require_shop(place)
    return open_shop_file(place.shop, read_only=True)


def require_shop(place: Place) -> None:
    """Raise InputError where there is no shop file."""
    if not place.on_server and not Path(place.shop).exists():
        raise InputError(
            _("{file}: no such shop file; name one that a visit was opened in").format(
                file=place.shop
            )
        )


def make_folder(folder: Path) -> None:
    """Make a folder and those above it. Raises BenchError in one line where it cannot be made."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BenchError(f"{folder}: the folder cannot be made ({error.strerror})") from None


def spec_book(place: Place) -> Book:
    """The shipped profiles with the shop's own over them."""
    from benchassist.specbook.book import Book

    return Book(place.home / "profiles")


def photo_shelf(place: Place) -> PhotoShelf:
    """Where the originals of photos lie; the folder is made with the first of them."""
    from benchassist.storage.photo_shelf import PhotoShelf

    return PhotoShelf(place.home / "photos")


def meter_room(sink: Callable[[Reading], None] | None = None) -> Room:
    """Where meters come from; `sink` gets every reading at its reader."""
    from benchassist.meters.room import Room

    return Room(sink)


def open_shop(place: Place, *, looked: bool = False) -> Shop:
    """A shop at work, without a window. Close it to end its threads. `looked` as `open_store`."""
    from benchassist.paint.photo import QtPhotoEye
    from benchassist.paint.slip_printer import QtSlipPrinter
    from benchassist.paint.tag_printer import QtTagPrinter
    from benchassist.services.metering.meter_memory import MeterMemory
    from benchassist.services.runs.tap import Tap
    from benchassist.services.settings import SettingsFile
    from benchassist.services.shop import Shop
    from benchassist.specbook.own_sheet import OwnSheets

    book, store, tap = spec_book(place), open_store(place, bench=True, looked=looked), Tap()
    try:
        shop = Shop(
            store=store,
            book=book,
            room=meter_room(tap),
            printer=QtSlipPrinter(),
            clock=SystemClock(),
            settings_file=SettingsFile(place.home / "settings.json"),
            memory=MeterMemory(place.home / "meters.json"),
            runs=store,
            benches=store.benches,
            tap=tap,
            sheets=OwnSheets(book),
            tag_printer=QtTagPrinter(),
            shelf=photo_shelf(place),
            eye=QtPhotoEye(),
        )
    except BenchError:
        store.close()
        raise
    shop.counter.tell_faults(book.faults)
    if store.remark:
        shop.counter.tell(store.remark)
    return shop


def list_meters() -> dict[str, list[dict[str, object]]]:
    """Ports and families, for `meters`."""
    from benchassist.services.metering.port_list import port_list

    return port_list(meter_room())


def log_meter(request: LogRequest) -> int:
    """Write a meter's readings to standard output until it is enough."""
    from benchassist.services.metering.meter_log import log

    def write(text: str) -> None:
        sys.stdout.write(f"{text}\n")
        sys.stdout.flush()

    def tell(text: str) -> None:
        sys.stderr.write(f"{text}\n")
        sys.stderr.flush()

    return log(meter_room(), request, write=write, tell=tell, clock=SystemClock())


def check_specs(place: Place, path: Path | None) -> Sequence[str]:
    """Every fault of the profiles: those named, else the shop's own over the shipped ones."""
    from benchassist.specbook.check import check

    own = place.home / "profiles"
    return check(path or (own if own.is_dir() else None))
