"""Composition root: builds, wires and stops the parts in order. No logic."""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from benchassist.errors import BenchError, InputError

if TYPE_CHECKING:
    from benchassist.core.record import VisitSummary
    from benchassist.core.slip import Slip
    from benchassist.meters.room import Room
    from benchassist.services.desk import Desks
    from benchassist.services.meter_log import LogRequest
    from benchassist.services.settings import Settings
    from benchassist.services.shop import Shop
    from benchassist.specbook.book import Book
    from benchassist.storage.store import SqlStore

UNATTENDED_RATE_HZ = 10.0
"""Readings a second of the practice meter while the guided visit is played without a person."""
UNATTENDED_HASTE = 3.0
"""How much faster than a person's the hands are then; the bench itself waits as long as ever."""


THEMES = ("system", "light", "dark")


class SystemClock:
    """The computer's clocks."""

    def monotonic(self) -> float:
        """Seconds, never going back."""
        return time.monotonic()

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


def open_store(place: Place) -> SqlStore:
    """The shop's store, made where it is not there. Raises ShopFileError in one line."""
    from benchassist.storage import open_store as open_shop_file

    if "://" not in place.shop:
        make_folder(Path(place.shop).parent)
    return open_shop_file(place.shop)


def read_store(place: Place) -> SqlStore:
    """The shop's store to look at only. Raises InputError where there is none."""
    from benchassist.storage import open_store as open_shop_file

    if "://" not in place.shop and not Path(place.shop).exists():
        raise InputError(f"{place.shop}: no such shop file; name one that a visit was opened in")
    return open_shop_file(place.shop, read_only=True)


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


def meter_room() -> Room:
    """Where meters come from."""
    from benchassist.meters.room import Room

    return Room()


def open_shop(place: Place) -> Shop:
    """A shop at work, without a window. Close it to end its threads."""
    from benchassist.paint.slip_printer import QtSlipPrinter
    from benchassist.services.meter_memory import MeterMemory
    from benchassist.services.settings import SettingsFile
    from benchassist.services.shop import Shop

    book, store = spec_book(place), open_store(place)
    try:
        shop = Shop(
            store=store,
            book=book,
            room=meter_room(),
            printer=QtSlipPrinter(),
            clock=SystemClock(),
            settings_file=SettingsFile(place.home / "settings.json"),
            memory=MeterMemory(place.home / "meters.json"),
        )
    except BenchError:
        store.close()
        raise
    shop.counter.tell_faults(book.faults)
    return shop


# --- the window -----------------------------------------------------------------------------------


def open_window(place: Place) -> int:
    """The program."""
    from benchassist.ui.window import run_window

    with ExitStack() as stack:

        def load() -> Desks:
            shop = open_shop(place)
            stack.callback(shop.close)
            return replace(shop.desks(), practice=lambda: start_practice(place))

        return run_window(
            load,
            lambda: settings_of(place),
            lambda kept: keep_settings(place, kept),
            peek_theme(place),
        )


def keep_settings(place: Place, settings: Settings) -> None:
    """Write the shop's settings. Raises StoreError."""
    from benchassist.services.settings import SettingsFile

    SettingsFile(place.home / "settings.json").write(settings)


def practice_place(place: Place) -> Place:
    """The practice bench has a shop file of its own."""
    return Place(str(place.home / "practice" / "shop.sqlite"), place.home / "practice")


def start_practice(place: Place) -> str:
    """Open the practice bench in a window and process of its own."""
    import subprocess

    command = [sys.executable, "-m", "benchassist.cli", "practice", "--home", str(place.home)]
    subprocess.Popen(command, start_new_session=True)
    return ""


def open_practice(place: Place) -> int:
    """The practice bench in a window: the guided visit is the user's own."""
    from benchassist.practice.session import PracticeSession
    from benchassist.practice.window import HandsWindow, open_hands
    from benchassist.ui.window import run_window

    own = practice_place(place)
    beside: list[HandsWindow] = []
    with ExitStack() as stack:

        def load() -> Desks:
            shop = open_shop(own)
            stack.callback(shop.close)
            session = stack.enter_context(PracticeSession(shop))
            hands = open_hands(session.hands, theme=shop.settings.theme)
            stack.callback(hands.close)
            beside.append(hands)
            return session.desks(bring=hands.bring)

        def keep(settings: Settings) -> None:
            keep_settings(own, settings)
            for hands in beside:
                hands.dress(settings.theme)

        return run_window(load, lambda: settings_of(own), keep, peek_theme(own))


def play_practice(place: Place, folder: Path) -> dict[str, object]:
    """The guided visit on real bytes, with the window offscreen; returns what it left."""
    from benchassist.core.slip import Paper
    from benchassist.practice.guide import Guide
    from benchassist.practice.session import PracticeSession
    from benchassist.ui.window import offscreen_application, offscreen_window

    offscreen_application()
    make_folder(folder / "screens")
    shop_file = folder / "shop.sqlite"
    earlier = [*folder.glob("screens/[0-9][0-9]-*.png"), *folder.glob(f"{shop_file.name}*")]
    for path in earlier:
        path.unlink()
    own = Place(str(shop_file), practice_place(place).home)
    slip, visit = folder / "slip.pdf", folder / "visit.json"
    with ExitStack() as stack:
        shop = open_shop(own)
        stack.callback(shop.close)
        session = stack.enter_context(
            PracticeSession(shop, rate_hz=UNATTENDED_RATE_HZ, haste=UNATTENDED_HASTE)
        )
        with offscreen_window(session.desks) as window:
            visit_id = Guide(session, window, folder / "screens").play()
        shop.write_slip(visit_id, slip, Paper(shop.settings.paper))
        write_export(own, [visit_id], visit)
    screens = sorted(path.name for path in (folder / "screens").glob("*.png"))
    return {
        "folder": str(folder.resolve()),
        "visit_id": visit_id,
        "slip": slip.name,
        "visit": visit.name,
        "screens": screens,
    }


# --- commands without a window --------------------------------------------------------------------


def list_meters() -> dict[str, list[dict[str, object]]]:
    """Ports and families, for `meters`."""
    from benchassist.services.port_list import port_list

    return port_list(meter_room())


def log_meter(request: LogRequest) -> int:
    """Write a meter's readings to standard output until it is enough."""
    from benchassist.services.meter_log import log

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


def list_visits(place: Place) -> tuple[VisitSummary, ...]:
    """Visits on file, newest first."""
    if not place.named and not Path(place.shop).exists():
        return ()
    with read_store(place) as store:
        return store.visits()


def summaries_as_json(summaries: Sequence[VisitSummary]) -> dict[str, object]:
    """The list of visits as its document."""
    from benchassist.storage.exchange import export_summary

    return {"visits": [export_summary(summary) for summary in summaries]}


def visit_as_text(place: Place, visit_id: str) -> str:
    """A visit as plain lines, as its slip has them."""
    from benchassist.services.slip_text import text_of_slip

    return text_of_slip(slip_of_visit(place, visit_id))


def export_visits(place: Place, visit_ids: Sequence[str]) -> dict[str, object]:
    """Visits as the export's document. Raises NotFoundError for one that is not on file."""
    from benchassist.storage.exchange import export_visits as document_of

    with read_store(place) as store:
        return document_of([store.visit(visit_id) for visit_id in visit_ids])


def write_export(place: Place, visit_ids: Sequence[str], path: Path) -> int:
    """Write visits to a JSON file; returns how many."""
    import json

    document = export_visits(place, visit_ids)
    fresh = path.with_name(path.name + ".new")
    try:
        fresh.write_text(json.dumps(document, ensure_ascii=False, indent=1) + "\n", "utf-8")
        fresh.replace(path)
    except OSError as error:
        raise BenchError(f"{path}: cannot be written ({error.strerror})") from None
    return len(visit_ids)


def slip_of_visit(place: Place, visit_id: str) -> Slip:
    """A visit's slip, in the shop's units."""
    from benchassist.core.visit import Visit
    from benchassist.services.slips import slip_of

    with read_store(place) as store:
        return slip_of(Visit(*store.visit(visit_id)), settings_of(place).units)


def print_slip(place: Place, visit_id: str, path: Path, paper: str | None) -> None:
    """A visit's slip as a PDF, on the shop's own paper where none is named.

    Raises InputError for a sheet that is not one.
    """
    from benchassist.core.slip import Paper
    from benchassist.paint.slip_printer import QtSlipPrinter

    if paper is not None and paper not in {p.value for p in Paper}:
        raise InputError(f"--paper '{paper}' is not one of a4, letter")
    slip = slip_of_visit(place, visit_id)
    sheet = Paper(paper or settings_of(place).paper)
    QtSlipPrinter().write_pdf(slip, path, paper=sheet)
