"""A way through a page with hostile text: into every line, in every room, entered and refused."""

import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Final

from PySide6.QtGui import QGuiApplication

from benchassist.assembly.works import Works
from benchassist.core.visit import VisitHeader
from benchassist.ui.entry import LineField
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from benchassist.ui.window import offscreen_window
from tests.end_to_end.hostile_shop import HostileShop
from tests.end_to_end.hostile_watch import Watch, watched
from tests.end_to_end.technician import Technician
from tests.hostile import HOSTILE, UNKEPT

LONGEST_MIXED = 60
TYPED: Final[Mapping[str, str]] = MappingProxyType(
    {
        "of every kind": " ".join(text[:LONGEST_MIXED] for text in HOSTILE.values()),
        "one sign": "\u202e",
        "format": HOSTILE["format"],
        "no blank": HOSTILE["no blank"],
        "megabyte": HOSTILE["megabyte"],
        "unkept": UNKEPT[0],
    }
)
"""What is pasted into every line."""

FEW: Final = ("of every kind",)
"""What finds nearly all of it, where there is no time for the rest."""


@dataclass(frozen=True)
class Walk:
    """A window on a hostile shop, and who watches it."""

    technician: Technician
    shop: HostileShop
    watch: Watch
    folder: Path
    """A fresh one, deep enough that no '../..' leads out of what is thrown away."""
    texts: tuple[str, ...] = FEW
    """Which of `TYPED` are pasted."""

    @property
    def shell(self) -> Shell:
        """The window."""
        return self.technician.shell

    @property
    def here(self) -> str:
        """The page in front."""
        return self.technician.page

    def to(self, page: str, name: str = "html") -> VisitHeader:
        """Turn to a page about the visit of a text."""
        header = self.shop.visits[name]
        self.shell.turn(Turn(page="counter"))
        self.shell.turn(Turn(page=page, machine_id=header.machine.id, visit_id=header.id))
        assert self.here == page, f"{page} of {name}: {self.technician.problem}"
        self.settle()
        return header

    def settle(self, seconds: float = 0.05) -> None:
        """Let the window take in what is on its way."""
        self.technician.stage.pump(seconds)

    def until(self, what: str, holds: Callable[[], bool]) -> None:
        """Wait until something shows."""

        def refreshed() -> bool:
            self.shell.page.refresh()
            return holds()

        self.technician.until(what, refreshed)

    def look(self, where: str) -> None:
        """Look at all of the window."""
        self.watch.look(self.shell, f"{self.here}, {where}")

    def press(self, *keys: str) -> None:
        """Press keys."""
        self.technician.press(*keys)

    def paste(self, field: LineField, text: str) -> None:
        """Put a text into a line as a person does, all of it at once."""
        field.setFocus()
        field.selectAll()
        if text in UNKEPT:  # no clipboard has it
            field.insert(text)
            return
        QGuiApplication.clipboard().setText(text)
        field.paste()

    def lines(self) -> list[LineField]:
        """The lines that can be typed into now."""
        return [line for line in self.shell.page.findChildren(LineField) if line.isVisible()]

    def fill(self, room: str, enter_room: Callable[[], object], *, submit: str = "Return") -> None:
        """Every text into all lines of a room at once, then into one after the other, entered.

        `submit` is the key that enters them. Each time as if one had just come into the room.
        """
        enter_room()
        count = len(self.lines())
        assert count, f"{room}: nothing can be typed here"
        alone = {f"line {place}": {place} for place in range(count)}
        for name in self.texts:
            text = TYPED[name]
            places = {"all lines": set(range(count))} | (alone if name == "of every kind" else {})
            for where, filled in places.items():
                enter_room()
                for place in sorted(filled):
                    self.paste(self.lines()[place], text)
                self.look(f"{room}, {where}: {name}")
                self.press(submit)
                self.settle(0.01)
                self.look(f"{room}, {where} entered: {name}")


@contextmanager
def walking(shop: HostileShop, folder: Path) -> Iterator[Walk]:
    """A window on a copy of the shop, watched."""
    folder.mkdir(parents=True)
    home = folder / "home"
    shutil.copytree(shop.place.home, home)
    file = folder / Path(shop.place.shop).name
    for part in Path(shop.place.shop).parent.glob(f"{file.name}*"):
        shutil.copy(part, folder / part.name)
    place = type(shop.place)(str(file), home, named=True)
    works = Works(place)
    try:
        with watched() as watch, offscreen_window(works.desks) as stage:
            technician = Technician(stage, works.shop)
            yield Walk(technician, HostileShop(place, shop.visits, shop.entries), watch, folder)
    finally:
        works.end()
