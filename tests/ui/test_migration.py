"""The window while a shop is brought up to date."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from benchassist.errors import ShopFileError
from benchassist.services.desk import Desks
from benchassist.services.front.migration import migration_view
from benchassist.ui.habits import Habits
from benchassist.ui.shell import Shell
from tests.ui.desks import FakeCounter, desks_of
from tests.ui.migration_views import COPY, FAILED, VIEWS, FakeMigration


class Opening:
    """A window, and what it has asked for so far."""

    def __init__(self, qtbot: QtBot, migration: FakeMigration | None) -> None:
        self.asked: list[str] = []
        self.counter = FakeCounter()
        self.migration = migration
        self.shell = Shell(self._load, Habits(theme="light"), first=self._first)
        qtbot.addWidget(self.shell)
        self.shell.show()
        self.shell.activateWindow()
        qtbot.waitUntil(self.shell.isActiveWindow)
        self.shell.load()
        self.shell._timer.stop()

    def _first(self) -> FakeMigration | None:
        self.asked.append("first")
        return self.migration

    def _load(self) -> Desks:
        self.asked.append("load")
        return desks_of(counter=self.counter)


def test_without_a_migration_the_shop_opens_at_once(qtbot: QtBot) -> None:
    """In the same call as ever; nothing of a migration shows."""
    opening = Opening(qtbot, None)
    assert opening.asked == ["first", "load"]
    assert opening.shell.desks is not None
    assert opening.shell.counter.work.isHidden()
    assert not opening.shell.counter.machines.isHidden()


def test_a_migration_shows_one_line_and_a_bar_until_it_is_over(qtbot: QtBot) -> None:
    """The desks come after it; what was typed meanwhile is searched then."""
    migration = FakeMigration(VIEWS["copying"])
    opening = Opening(qtbot, migration)
    shell, page = opening.shell, opening.shell.counter
    assert opening.asked == ["first"]
    assert shell.desks is None
    assert not page.work.isHidden()
    assert page.machines.isHidden()
    assert all(button.isHidden() for button in page.buttons)
    assert page.work.accessibleName().startswith("The shop’s file is brought up to date: 7 %")
    QTest.keyClicks(page.search.field, "tallow")
    migration.shown = VIEWS["half"]
    shell.tick()
    assert page.work.value.share == 0.4
    assert COPY.name in page.work.accessibleName()
    assert [hint.press for hint in page.keys.hints] == ["F1"]
    shell.load()
    assert opening.asked == ["first"]
    migration.end()
    shell.tick()
    assert opening.asked == ["first", "load"]
    assert shell.desks is not None
    assert page.work.isHidden()
    assert not page.machines.isHidden()
    assert opening.counter.queries[-1] == "tallow"
    assert shell._timer.isActive()
    shell.tick()
    assert opening.asked == ["first", "load"]


def test_the_bar_moves_without_anybody_at_the_keys(qtbot: QtBot) -> None:
    """The window's own timer looks, and repaints the panel alone."""
    migration = FakeMigration(VIEWS["copying"])
    opening = Opening(qtbot, migration)
    panel = opening.shell.counter.work
    opening.shell._timer.start()
    qtbot.waitUntil(lambda: panel.paints > 0)
    painted, slips = panel.paints, opening.shell.counter.slips.paints
    for percent in range(10, 15):
        migration.shown = migration_view(percent / 100.0, None)
        qtbot.waitUntil(lambda p=percent: panel.value.share == p / 100.0)  # type: ignore[misc]
    qtbot.waitUntil(lambda: panel.paints > painted)
    assert opening.shell.counter.slips.paints == slips
    migration.end()
    qtbot.waitUntil(lambda: opening.shell.desks is not None)
    opening.shell.close()


def test_the_keys_can_be_looked_at_meanwhile(qtbot: QtBot) -> None:
    """F1 turns to them and back; other pages need the shop."""
    migration = FakeMigration(VIEWS["half"])
    opening = Opening(qtbot, migration)
    shell = opening.shell
    for key in (Qt.Key.Key_F2, Qt.Key.Key_F4, Qt.Key.Key_F10):
        QTest.keyClick(shell, key)
        assert shell.page is shell.counter
    QTest.keyClick(shell, Qt.Key.Key_F1)
    assert shell.page is shell.pages["help"]
    migration.end()
    shell.tick()
    assert shell.desks is not None
    QTest.keyClick(shell, Qt.Key.Key_F1)
    assert shell.page is shell.counter


def test_a_migration_that_fails_is_one_line_that_can_be_read(qtbot: QtBot) -> None:
    """It says where the copy is; the desks are not asked for, and nothing is looked at again."""
    migration = FakeMigration(VIEWS["half"])
    opening = Opening(qtbot, migration)
    shell, page = opening.shell, opening.shell.counter
    migration.end(ShopFileError(FAILED))
    shell.tick()
    assert opening.asked == ["first"]
    assert shell.desks is None
    assert page.message.value == FAILED
    assert not page.message.isHidden()
    # Four lines in letters that can be read, and the list's place below them.
    assert page.message.height() > 4 * 19
    assert page.message.geometry().bottom() < page.machines.geometry().top()
    assert page.work.isHidden()
    assert not shell._timer.isActive()


def test_a_shop_that_cannot_be_looked_at_is_one_line(qtbot: QtBot) -> None:
    """As before: what bars the look at it stands on the counter."""

    def refuse() -> None:
        raise ShopFileError("the shop file is read-only")

    shell = Shell(desks_of, Habits(theme="light"), first=refuse)  # type: ignore[arg-type]
    qtbot.addWidget(shell)
    shell.show()
    shell.load()
    assert shell.counter.message.value == "the shop file is read-only"
    assert shell.counter.message.height() == 32
    assert shell.desks is None
