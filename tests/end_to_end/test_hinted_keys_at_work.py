"""Keys that stand on a page, pressed where real desks are behind it: each does something there."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QLineEdit, QWidget

from benchassist.ui.message import Message
from tests.end_to_end.hostile_shop import HostileShop, hostile_shop
from tests.end_to_end.hostile_walk import Walk, walking
from tests.ui.test_hinted_keys import OLDER, asked, hints_of, stroke, strokes_of

__all__ = ["asked"]

PAGES = {
    "counter": (),
    "bench": (),
    "findings": ("E", "W", "R", "F"),
    "machine": ("Space", "F"),
    "photos": (),
    "print": (),
    "tags": (),
    "settings": (),
    "spec": (),
    "records": ("X", "C", "I"),
    "log": (),
    "meters": (),
    "match": (),
    "new_machine": (),
    "machine_edit": (),
    "interview": (),
    "help": (),
}
"""Pages, and keys that lead to rooms of theirs."""


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> HostileShop:
    """A shop with something to say on every page."""
    return hostile_shop(tmp_path_factory.mktemp("hostile"))


@pytest.fixture
def walk(hostile: HostileShop, qapp: object, tmp_path: Path) -> Iterator[Walk]:
    """A window on it."""
    assert qapp is not None
    with walking(hostile, tmp_path / "home") as made:
        yield made


def enter(walk: Walk, page: str, room: str) -> None:
    """Come into a room of a page from the counter."""
    walk.to("counter")
    for _step in range(6):
        walk.press("Esc")
    walk.to(page)
    for _step in range(6):
        if walk.here == "counter" or walk.here != page:
            break
        walk.press("Esc")
    walk.to(page)
    walk.settle(0.1)
    if room:
        walk.press(room)
        walk.settle()


def stand_of(walk: Walk) -> object:
    """What can be seen, but for the line of what an earlier key could not do."""
    parts = (part for part in walk.shell.findChildren(QWidget) if part.isVisible())
    seen = [
        (id(p), repr(getattr(p, "value", None)), p.text() if isinstance(p, QLineEdit) else "")
        for p in parts
        if not isinstance(p, Message)
    ]
    return walk.here, seen, walk.shell.theme


def test_every_page_is_looked_at(walk: Walk) -> None:
    """A page that is added to the window is added here."""
    assert set(walk.shell.pages) == set(PAGES)


@pytest.mark.long
@pytest.mark.timeout(300)
@pytest.mark.parametrize("page", PAGES)
def test_every_hinted_key_does_something(walk: Walk, asked: list[str], page: str) -> None:
    """It changes what is seen, opens a dialog, or says in a line why not."""
    silent = list[str]()
    for room in ("", *PAGES[page]):
        enter(walk, page, room)
        silent += [
            f"{page} {room}: {press}"
            for press in hints_of(walk.shell)
            if not any(does_something(walk, page, room, one, asked) for one in strokes_of(press))
        ]
    assert not silent, silent


def does_something(walk: Walk, page: str, room: str, press: str, asked: list[str]) -> bool:
    """Whether anything comes of a key in a room that one has just come into."""
    enter(walk, page, room)
    before, opened = stand_of(walk), len(asked)
    walk.shell.page.problem = OLDER
    stroke(walk.shell, press)
    walk.settle()
    if walk.shell.page.problem not in {OLDER, ""}:
        return True
    walk.shell.page.problem = ""
    walk.shell.page.refresh()
    return stand_of(walk) != before or len(asked) != opened
