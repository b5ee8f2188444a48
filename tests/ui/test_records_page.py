"""The records' page: every key, what is typed, dropped and picked; a machine that is edited."""

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from benchassist.services.record.records import Records
from benchassist.services.record.records_view import RecordsStage
from benchassist.ui import file_dialog
from benchassist.ui.field_box import FieldBox
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.services.records_case import BACKUPS, SWAP, FakeKeeping, records_desk
from tests.services.records_case import settle as settle_desk
from tests.ui.conftest import OpenWindow
from tests.ui.desks import desks_of
from tests.ui.records_views import FakeEdit
from tests.ui.test_bench_page import press

Opened = tuple[Shell, Records, FakeKeeping]


def opened(open_window: OpenWindow, **given: object) -> Opened:
    """The page, reached from the counter by its key."""
    desk, keeping = records_desk(**given)
    shell = open_window(records=desk)
    press(shell, Qt.Key.Key_F10)
    assert shell.page is shell.records
    return shell, desk, keeping


def settle(shell: Shell, desk: Records) -> None:
    """Let work end, and the page fetch it."""
    settle_desk(desk)
    shell.tick()


def typed(shell: Shell) -> FieldBox:
    """The field that must be written: the one that confirms, else the first."""
    boxes = [box for box in shell.records.boxes if isinstance(box, FieldBox)]
    return next((box for box in boxes if box.value.key == "typed"), boxes[0])


def write(shell: Shell, text: str) -> None:
    """Type into it, and press Enter."""
    typed(shell).field.setText(text)
    QTest.keyClick(typed(shell).field, Qt.Key.Key_Return)


def test_the_front_says_what_the_shop_is(open_window: OpenWindow) -> None:
    """Readable without looking at it; Esc goes back to the counter."""
    shell, _desk, _keeping = opened(open_window)
    assert "Visits: 412, the newest of " in shell.records.sheet.accessibleName()
    assert shell.records.rows.accessibleName() == "11 rows"
    assert shell.records.work.isHidden()
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter


def test_b_backs_up(open_window: OpenWindow) -> None:
    """The page shows how far it is; Esc stops; Enter goes on when it is done."""
    shell, desk, keeping = opened(open_window, waits=True, share=(42, 100))
    press(shell, Qt.Key.Key_B)
    job = desk._job
    assert job is not None
    while job.share is None:
        pass
    shell.tick()
    assert shell.records.work.accessibleName().startswith("42% done")
    assert shell.records.stopper.isVisible()
    press(shell, Qt.Key.Key_B)
    keeping.go.set()
    settle(shell, desk)
    assert shell.records.lines.accessibleName().startswith("Backed up and verified")
    press(shell, Qt.Key.Key_Return)
    assert shell.records.shown.stage is RecordsStage.HOME
    assert keeping.calls == [("back_up",)]


def test_esc_stops_work(open_window: OpenWindow) -> None:
    """The button does too; what is said stands at the foot."""
    shell, desk, _keeping = opened(open_window, waits=True, share=(1, 100))
    press(shell, Qt.Key.Key_B)
    QTest.mouseClick(shell.records.stopper, Qt.MouseButton.LeftButton)
    settle(shell, desk)
    assert shell.records.foot.accessibleName() == "Stopped. Nothing of it is left"


def test_d_backs_up_to_a_disk(open_window: OpenWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder is picked or typed; photos go along unless another choice is made."""
    monkeypatch.setattr(file_dialog, "pick_disk", lambda *_a: "/media/stick")
    shell, desk, keeping = opened(open_window)
    press(shell, Qt.Key.Key_D)
    assert shell.records.shown.stage is RecordsStage.BACKUP
    shell.records.press("Ctrl+O")
    assert typed(shell).field.text() == "/media/stick"
    QTest.keyClick(typed(shell).field, Qt.Key.Key_Return)
    focused = QApplication.focusWidget()
    assert focused is shell.records.boxes[1]
    QTest.keyClick(focused, Qt.Key.Key_2)
    QTest.keyClick(focused, Qt.Key.Key_Return)
    settle(shell, desk)
    assert keeping.calls == [("back_up_to", Path("/media/stick"), False)]
    assert shell.records.lines.accessibleName().startswith("Backed up and verified")


def test_a_backup_is_chosen_and_restored(open_window: OpenWindow) -> None:
    """The cursor, a look, the word; then the desks are asked for anew and nothing is worked on."""
    asked: list[bool] = []
    desk, keeping = records_desk()

    def renew() -> object:
        asked.append(True)
        return desks_of(records=desk, renew=renew)  # type: ignore[arg-type]

    shell = open_window(records=desk, renew=renew)
    shell.turn(Turn(page="bench", visit_id="v1"))
    shell.turn(Turn(page="records"))
    press(shell, Qt.Key.Key_Down)
    assert "Made: today" in shell.records.sheet.accessibleName()
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Return)
    settle(shell, desk)
    assert keeping.calls == [("look_at", BACKUPS[1].file)]
    assert "holds: 409 visits" in shell.records.sheet.accessibleName()
    write(shell, "yes")
    assert shell.records.message.value == "‘yes’: type restore to go on"
    write(shell, "restore")
    settle(shell, desk)
    assert keeping.calls[1:] == [("restore", SWAP), ("renew",)]
    assert asked == [True]
    assert shell.visit_id == ""
    assert shell.records.lines.accessibleName().startswith("Restored: 409 visits")
    press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter


def test_the_word_alone_is_not_enough_to_slip(open_window: OpenWindow) -> None:
    """Leaving the look changes nothing."""
    shell, desk, keeping = opened(open_window)
    shell.records._clicked(str(BACKUPS[2].file))
    shell.records._clicked(str(BACKUPS[2].file))
    settle(shell, desk)
    typed(shell).field.setText("restore")
    QTest.keyClick(typed(shell).field, Qt.Key.Key_Escape)
    assert shell.records.shown.stage is RecordsStage.HOME
    assert [call[0] for call in keeping.calls] == ["look_at"]


def test_import_and_export_are_typed(open_window: OpenWindow) -> None:
    """Enter goes through the fields and past the last one."""
    shell, desk, keeping = opened(open_window)
    press(shell, Qt.Key.Key_I)
    write(shell, "/media/visits")
    settle(shell, desk)
    assert keeping.calls[0] == ("take_in", (Path("/media/visits"),))
    press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_X)
    write(shell, "TH-07")
    focused = QApplication.focusWidget()
    assert focused is shell.records.boxes[1]
    QTest.keyClick(focused, Qt.Key.Key_2)
    QTest.keyClick(focused, Qt.Key.Key_Return)
    last = shell.records.boxes[2]
    assert isinstance(last, FieldBox)
    last.field.setText("/media/readings")
    QTest.keyClick(last.field, Qt.Key.Key_Return)
    settle(shell, desk)
    assert keeping.calls[-1] == ("write_out", "TH-07", Path("/media/readings.csv"))


def test_a_customer_is_found_and_erased(open_window: OpenWindow) -> None:
    """Search, choose, see, type the tag; another search is looked for, not chosen from."""
    shell, desk, keeping = opened(open_window)
    press(shell, Qt.Key.Key_C)
    write(shell, "tallow")
    settle(shell, desk)
    assert "On file: 4 of 4 visits" in shell.records.sheet.accessibleName()
    write(shell, "tallow hill")
    settle(shell, desk)
    QTest.keyClick(typed(shell).field, Qt.Key.Key_Down)
    assert "Orla Wick" in shell.records.sheet.accessibleName()
    QTest.keyClick(typed(shell).field, Qt.Key.Key_Up)
    QTest.keyClick(typed(shell).field, Qt.Key.Key_Return)
    assert shell.records.shown.stage is RecordsStage.ERASE
    write(shell, "TH-7")
    assert "type TH-07 to go on" in shell.records.message.value
    assert QApplication.focusWidget() is typed(shell).field
    write(shell, "TH-07")
    settle(shell, desk)
    assert [call[0] for call in keeping.calls] == ["find", "find", "erase", "renew"]
    assert keeping.calls[2] == ("erase", ("m1",), True, False)
    assert "Still in the backup of" in shell.records.lines.accessibleName()


def drop(shell: Shell, *paths: str) -> bool:
    """Drop files on the page; whether it took them."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(path) for path in paths])
    actions = Qt.DropAction.CopyAction
    buttons, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    entering = QDragEnterEvent(QPoint(5, 5), actions, data, buttons, none)
    QApplication.sendEvent(shell.records, entering)
    dropping = QDropEvent(QPointF(5, 5), actions, data, buttons, none)
    QApplication.sendEvent(shell.records, dropping)
    return entering.isAccepted() and dropping.isAccepted()


def test_files_are_dropped(open_window: OpenWindow) -> None:
    """Exports are imported, a shop file is looked at; nothing while something is at work."""
    shell, desk, keeping = opened(open_window)
    assert drop(shell, "/media/a.json", "/media/b.json")
    settle(shell, desk)
    press(shell, Qt.Key.Key_Return)
    assert drop(shell, "/media/b.sqlite")
    settle(shell, desk)
    assert shell.records.shown.stage is RecordsStage.LOOK
    told = [call for call in keeping.calls if call[0] != "renew"]
    assert told == [
        ("take_in", (Path("/media/a.json"), Path("/media/b.json"))),
        ("look_at", Path("/media/b.sqlite")),
    ]


def test_files_are_picked(open_window: OpenWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    """A backup from the front, an export and a folder for their forms; none is none."""
    for name, picked in (
        ("pick_backup", "/media/b.sqlite"),
        ("pick_export", "/media/a.json"),
        ("pick_folder", "/media/out"),
    ):
        monkeypatch.setattr(file_dialog, name, lambda *_a, picked=picked: picked)
    shell, desk, keeping = opened(open_window)
    press(shell, Qt.Key.Key_O)
    settle(shell, desk)
    assert keeping.calls == [("look_at", Path("/media/b.sqlite"))]
    shell.records.press("Esc")
    for key, place, expected in (
        (Qt.Key.Key_I, 0, "/media/a.json"),
        (Qt.Key.Key_X, 2, "/media/out"),
    ):
        press(shell, key)
        shell.records.press("Ctrl+O")
        box = shell.records.boxes[place]
        assert isinstance(box, FieldBox)
        assert box.field.text() == expected
        shell.records.press("Esc")
    monkeypatch.setattr(file_dialog, "pick_backup", lambda *_a: "")
    press(shell, Qt.Key.Key_O)
    assert shell.records.shown.stage is RecordsStage.HOME


def test_a_long_account_is_scrolled(open_window: OpenWindow) -> None:
    """By keys; it stops at its end."""
    shell, desk, keeping = opened(open_window)
    keeping.taken = type(keeping.taken)(conflicts=tuple(f"visit {n:04d}" for n in range(60)))
    press(shell, Qt.Key.Key_I)
    write(shell, "x.json")
    settle(shell, desk)
    lines = shell.records.lines
    for _ in range(40):
        press(shell, Qt.Key.Key_PageDown)
    assert lines.first + lines.most == len(lines.value.lines)
    for _ in range(40):
        press(shell, Qt.Key.Key_PageUp)
    assert lines.first == 0


def test_a_server_offers_its_restore(open_window: OpenWindow) -> None:
    """The button, the key, a dump that is dropped: as for a file."""
    shell, desk, keeping = opened(open_window, on_server=True)
    assert shell.records.tiles["O"].isVisible()
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Return)
    settle(shell, desk)
    assert shell.records.shown.stage is RecordsStage.LOOK
    shell.records.press("Esc")
    assert drop(shell, "/media/b.dump")
    settle(shell, desk)
    assert keeping.calls == [("look_at", BACKUPS[0].file), ("look_at", Path("/media/b.dump"))]


def test_a_shop_without_records_says_so(open_window: OpenWindow) -> None:
    """The practice bench has none to look after."""
    shell = open_window()
    assert "F10" not in [hint.press for hint in shell.strip.value.hints]
    press(shell, Qt.Key.Key_F10)
    assert shell.page is shell.counter
    assert shell.counter.problem == "Nothing is backed up here: open the shop itself"


# --- a machine's particulars ----------------------------------------------------------------------


def test_a_machine_is_edited(open_window: OpenWindow) -> None:
    """E on its file; the page is left once it is on disk."""
    edit = FakeEdit()
    shell = open_window(edit=edit)
    shell.turn(Turn(page="machine", machine_id="m1"))
    shell.turn(Turn(page="machine_edit", machine_id="m1"))
    page = shell.edit_machine
    assert page.values["customer"] == "Tallow Hill Cider Orchard"
    page.boxes[1].field.setText("Wick Farm")
    assert "Customer: Wick Farm" in page.sheet.accessibleName()
    page.submit()
    assert edit.given[0]["customer"] == "Wick Farm"
    shell.tick()
    assert shell.page is page
    edit.kept = True
    shell.tick()
    assert shell.page is shell.machine


def test_what_is_wrong_stands_on_the_form(open_window: OpenWindow) -> None:
    """In one line; so does a write that was refused. Esc leaves it as it was."""
    edit = FakeEdit("tag 'TH-07' is another machine's: take a free one")
    shell = open_window(edit=edit)
    shell.turn(Turn(page="machine_edit", machine_id="m1"))
    shell.edit_machine.submit()
    assert shell.edit_machine.message.value == edit.refusal
    edit.refusal, edit.trouble = "", "not saved: the disk is full"
    shell.edit_machine.submit()
    assert shell.edit_machine.message.value == "not saved: the disk is full"
    QTest.keyClick(shell.edit_machine.boxes[0].field, Qt.Key.Key_Escape)
    assert shell.page is shell.counter
