"""Opens the window, the practice bench, and plays the guided visit without a person."""

from __future__ import annotations

import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from benchassist.assembly import Place, make_folder, open_shop, peek_theme, settings_of

if TYPE_CHECKING:
    from benchassist.assembly.works import Works
    from benchassist.services.desk import Desks
    from benchassist.services.settings import Settings

UNATTENDED_RATE_HZ = 10.0
"""Readings a second of the practice meter while the guided visit is played without a person."""
UNATTENDED_HASTE = 3.0
"""How much faster than a person's the hands are then; the bench itself waits as long as ever."""


def open_window(place: Place) -> int:
    """The program."""
    from benchassist.ui.window import run_window

    with ExitStack() as stack:
        made: list[Works] = []

        def works() -> Works:
            from benchassist.assembly.works import Works

            if not made:
                made.append(Works(place))
                stack.callback(made[0].end)
            return made[0]

        return run_window(
            lambda: works().desks(),
            lambda: settings_of(place),
            lambda kept: keep_settings(place, kept),
            peek_theme(place),
            first=lambda: works().migration(),
            fault_log=place.home / "faults.log",
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

        return run_window(
            load,
            lambda: settings_of(own),
            keep,
            peek_theme(own),
            fault_log=own.home / "faults.log",
        )


def play_practice(place: Place, folder: Path) -> dict[str, object]:
    """The guided visit on real bytes, with the window offscreen; returns what it left."""
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
        shop.printer(visit_id).write_pdf(slip)
        from benchassist.assembly.record import write_export

        write_export(own, [visit_id], visit)
    screens = sorted(path.name for path in (folder / "screens").glob("*.png"))
    return {
        "folder": str(folder.resolve()),
        "visit_id": visit_id,
        "slip": slip.name,
        "visit": visit.name,
        "screens": screens,
    }
