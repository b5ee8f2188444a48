from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from benchassist.core.slip import Ink
from benchassist.errors import StepError
from benchassist.services.bench.view import Ask, BenchView, Number, NumberState
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.part import Target
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenBench
from tests.ui.views import (
    BENCH_STATES,
    CANNOT_TELL,
    CAUTIONED,
    CAUTIONED_READING,
    CLOSED,
    LOOK,
    NO_METER,
    NOTING,
    STEADYING,
    STILL,
    TAKEN,
    TYPING,
    TYPING_WRONG,
    WRITING,
    ribbon,
)

KEYS = (
    (Qt.Key.Key_Space, ("take", "")),
    (Qt.Key.Key_Backspace, ("redo", "")),
    (Qt.Key.Key_N, ("note", "")),
    (Qt.Key.Key_M, ("type", "")),
    (Qt.Key.Key_Z, ("zero", "")),
    (Qt.Key.Key_Right, ("skip", "")),
    (Qt.Key.Key_Left, ("back", "")),
    (Qt.Key.Key_Return, ("next", "")),
    (Qt.Key.Key_D, ("did", "")),
    (Qt.Key.Key_T, ("temperature", "")),
    (Qt.Key.Key_O, ("option", "")),
    (Qt.Key.Key_K, ("self_check", "")),
    (Qt.Key.Key_C, ("close_visit", "")),
    (Qt.Key.Key_Down, ("goto", "check_5")),
    (Qt.Key.Key_Up, ("goto", "check_3")),
    (Qt.Key.Key_S, ("strip", "on")),
)


def press(shell: Shell, key: Qt.Key) -> None:
    """A key on whatever has the focus."""
    QTest.keyClick(QApplication.focusWidget() or shell, key)


@pytest.mark.parametrize(("key", "act"), KEYS)
def test_every_action_has_a_key(open_bench: OpenBench, key: Qt.Key, act: tuple[str, str]) -> None:
    """Each key reaches the desk as its action."""
    shell, desk = open_bench(STEADYING)
    press(shell, key)
    assert desk.acts == [act]


def test_a_held_key_acts_once(open_bench: OpenBench) -> None:
    """A foot that stays on the pedal takes one reading."""
    shell, desk = open_bench(STEADYING)
    for repeated in (False, True, True):
        event = QKeyEvent(
            QEvent.Type.KeyPress,
            Qt.Key.Key_Space.value,
            Qt.KeyboardModifier.NoModifier,
            " ",
            repeated,
        )
        QApplication.sendEvent(shell, event)
    assert desk.acts == [("take", "")]


def test_space_takes_wherever_the_focus_is(open_bench: OpenBench) -> None:
    """Tab may stand on a key of the strip: Space still takes, Enter presses what has the focus."""
    shell, desk = open_bench(STEADYING)
    target = shell.strip.targets[2]
    target.setFocus()
    press(shell, Qt.Key.Key_Space)
    press(shell, Qt.Key.Key_Return)
    assert desk.acts == [("take", ""), ("note", "")]


def test_number_keys_answer_a_look(open_bench: OpenBench) -> None:
    """The number of an answer, by key or by click, chooses it."""
    shell, desk = open_bench(LOOK)
    press(shell, Qt.Key.Key_2)
    QTest.mouseClick(shell.bench.answers.targets[2], Qt.MouseButton.LeftButton)
    assert desk.acts == [("choose", "2"), ("choose", "3")]


def test_number_keys_take_a_way_to_settle(open_bench: OpenBench) -> None:
    """Under 'Meter can't tell' the numbers take what is offered."""
    shell, desk = open_bench(CANNOT_TELL)
    press(shell, Qt.Key.Key_1)
    QTest.mouseClick(shell.bench.fixes.targets[1], Qt.MouseButton.LeftButton)
    assert desk.acts == [("fix", "1"), ("fix", "2")]


def test_the_ribbon_and_the_slip_go_to_a_step(open_bench: OpenBench) -> None:
    """A click on a step, or on its line of the slip, goes there."""
    shell, desk = open_bench(STEADYING)
    QTest.mouseClick(shell.bench.ribbon.targets[1], Qt.MouseButton.LeftButton)
    layout = shell.bench.slip._layout
    assert layout is not None
    row = layout.rows[5]
    where = QPoint(round(row.center().x()), round(row.center().y() - shell.bench.slip._scroll))
    QTest.mouseClick(shell.bench.slip, Qt.MouseButton.LeftButton, pos=where)
    assert desk.acts == [("goto", "check_2"), ("goto", "check_6")]


def test_digits_start_a_typed_reading_where_there_is_no_meter(open_bench: OpenBench) -> None:
    """The first digit opens the line, stands in it, and is shown in the number's place."""
    shell, desk = open_bench(NO_METER)
    empty = replace(TYPING, number=Number(state=NumberState.TYPING))
    desk.after = {"type": empty}
    press(shell, Qt.Key.Key_4)
    assert shell.bench.entry.field.text() == "4"
    assert desk.acts == [("type", ""), ("preview", "4")]
    QTest.keyClicks(shell.bench.entry.field, ".38")
    assert shell.bench.number.value.typed == "4.38"
    assert "4.38" in shell.bench.number.accessibleName()


def test_digits_do_not_type_over_a_live_meter(open_bench: OpenBench) -> None:
    """With a meter talking a digit means nothing."""
    shell, desk = open_bench(STEADYING)
    press(shell, Qt.Key.Key_4)
    assert desk.acts == []


def test_a_note_is_typed_in_place(open_bench: OpenBench) -> None:
    """Letters that are keys elsewhere are letters here; Enter hands the line over."""
    shell, desk = open_bench(STEADYING)
    desk.after = {"note": NOTING, "submit": STEADYING}
    press(shell, Qt.Key.Key_N)
    assert shell.bench.entry.isVisible()
    QTest.keyClicks(shell.bench.entry.field, "boot cracked")
    press(shell, Qt.Key.Key_Return)
    assert desk.acts[0] == ("note", "")
    assert desk.acts[-1] == ("submit", "boot cracked")
    assert {act for act, _ in desk.acts} == {"note", "preview", "submit"}
    assert not shell.bench.entry.isVisible()
    assert shell.bench.hasFocus()


def test_letters_find_the_line_again(open_bench: OpenBench) -> None:
    """Where Tab led away from the line, a letter is written there and does nothing else."""
    shell, desk = open_bench(NOTING)
    shell.strip.targets[0].setFocus()
    press(shell, Qt.Key.Key_Z)
    assert desk.acts == [("preview", "z")]
    assert shell.bench.entry.field.text() == "z"
    assert shell.bench.entry.field.hasFocus()


def test_escape_leaves_the_line_and_only_then_the_bench(open_bench: OpenBench) -> None:
    """Esc cancels what is being typed; once more turns to the counter."""
    shell, desk = open_bench(NOTING)
    desk.after = {"cancel": STEADYING}
    press(shell, Qt.Key.Key_Escape)
    assert desk.acts == [("cancel", "")]
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter
    assert desk.acts[-1] == ("leave", "")


def test_an_error_stands_under_the_line(open_bench: OpenBench) -> None:
    """What is wrong with a typed line is said there; the text stays to be mended."""
    shell, desk = open_bench(TYPING)
    QTest.keyClicks(shell.bench.entry.field, "10,160")
    desk.after = {"submit": TYPING_WRONG}
    press(shell, Qt.Key.Key_Return)
    assert shell.bench.entry.value.error == TYPING_WRONG.text_error
    assert TYPING_WRONG.text_error in shell.bench.entry.accessibleName()
    assert shell.bench.entry.field.text() == "10,160"


def test_a_refusal_is_one_line_until_the_next_key(open_bench: OpenBench) -> None:
    """What the desk refuses is said in place; the next key clears it."""
    shell, desk = open_bench(STEADYING)
    desk.refuses = StepError("nothing taken at this step yet")
    press(shell, Qt.Key.Key_Backspace)
    assert shell.bench.message.isVisible()
    assert shell.bench.message.accessibleName() == "Nothing taken at this step yet"
    press(shell, Qt.Key.Key_Z)
    assert not shell.bench.message.isVisible()


def test_a_refusal_is_gone_once_the_reading_is_taken(open_bench: OpenBench) -> None:
    """A reading takes itself when it is steady: no key has to clear what held it up before."""
    shell, desk = open_bench(STEADYING)
    desk.refuses = StepError("touch the probes together first")
    press(shell, Qt.Key.Key_Space)
    assert shell.bench.message.isVisible()
    desk.shown = TAKEN
    shell.tick()
    assert not shell.bench.message.isVisible()


def words_of(shell: Shell) -> str:
    """Everything the bench says, as a screen reader gets it."""
    bench = shell.bench
    parts = (
        bench.message,
        bench.title,
        bench.lines,
        bench.caution,
        bench.cautions,
        bench.number,
        bench.entry,
        bench.answers,
        bench.panel,
        bench.verdict,
    )
    said = [part.accessibleName() for part in parts if part.isVisible()]
    targets = bench.findChildren(Target)
    return " | ".join(said + [t.accessibleName() for t in targets if t.isVisible()])


@pytest.mark.parametrize(
    ("state", "said"),
    [
        ("no_meter", ("No meter", "Plug cap, end to end", "one probe on each end")),
        ("waiting", ("Touch the part",)),
        ("steadying", ("4.38 kΩ. In band so far. Steadying. Hold still", "0.57 kΩ clear")),
        ("writing", ("4.38 kΩ", "Writing it down")),
        ("taken", ("4.38 kΩ. In band. Taken",)),
        ("stale", ("Old: 6 s ago",)),
        ("overload", ("Above range", "Touch the probes first", "Meter can’t tell")),
        ("typing_wrong", ("Type the digits exactly as shown", "10.160 for ten point one six")),
        ("typed", ("4.38 kΩ", "Typed")),
        ("cannot_tell", ("Meter can’t tell", "200 Ω range, zero the leads", "Volt-drop method")),
        ("cautioned", (STILL,)),
        ("cautioned_reading", (STILL,)),
        ("look", ("breathes freely", "listen for air")),
        ("looked", ("breathes freely. chosen", "Checked by eye")),
        ("option", ("What is the cap marked?", "10 kΩ", "plain, no resistor")),
        ("banner", ("Not saved yet: the disk is full",)),
        ("recorded", ("Above range. Recorded so far", "No band to hold it against")),
        ("closed", ("Closed",)),
    ],
)
def test_each_state_says_its_words(
    open_bench: OpenBench, state: str, said: tuple[str, ...]
) -> None:
    """What shows in a state, number with verdict, is there for a screen reader too."""
    shell, _desk = open_bench(BENCH_STATES[state])
    heard = words_of(shell)
    for words in said:
        assert words in heard


def test_only_what_changed_repaints(open_bench: OpenBench, qtbot: QtBot) -> None:
    """A new number repaints number, ruler and slip line; title, drawing and ribbon stand still."""
    shell, desk = open_bench(STEADYING)
    bench = shell.bench
    still = (bench.title, bench.lines, bench.sketch, bench.verdict)
    QApplication.processEvents()
    before = {part: part.paints for part in (*still, bench.number, bench.slip)}
    assert all(before.values())
    desk.shown = replace(STEADYING, number=replace(STEADYING.number, digits="4.39"))
    bench.refresh()
    qtbot.waitUntil(lambda: bench.number.paints > before[bench.number])
    assert {part: part.paints for part in still} == {part: before[part] for part in still}
    assert bench.slip.paints == before[bench.slip]
    again = bench.number.paints
    bench.refresh()
    QApplication.processEvents()
    assert bench.number.paints == again


def test_the_line_at_work_repaints_alone(open_bench: OpenBench) -> None:
    """While only the pencilled line changes, the slip repaints that line's rectangle."""
    shell, desk = open_bench(STEADYING)
    QApplication.processEvents()
    asked: list[int] = []
    slip = shell.bench.slip
    slip.update = lambda *rect: asked.append(rect[0].height() if rect else slip.height())  # type: ignore[method-assign]
    lines = list(STEADYING.lines)
    lines[3] = replace(lines[3], value="4.39 kΩ")
    desk.shown = replace(STEADYING, lines=tuple(lines))
    shell.bench.refresh()
    assert len(asked) == 1
    assert asked[0] < 80


def in_pencil(view: BenchView) -> BenchView:
    """The view with its current step on its way to disk."""
    items = tuple(replace(i, ink=Ink.PENCIL) if i.current else i for i in view.ribbon)
    return replace(view, ribbon=items)


def in_ink(view: BenchView) -> BenchView:
    """The view with its current step on disk, under the view's verdict."""
    items = tuple(
        replace(i, ink=Ink.INK, verdict=view.verdict, side=view.side) if i.current else i
        for i in view.ribbon
    )
    return replace(view, ribbon=items)


def test_taken_flashes_and_sounds_once(open_bench: OpenBench, qtbot: QtBot) -> None:
    """Pencil that turns to ink flashes the number and gives the cue; nothing else does."""
    shell, desk = open_bench(in_pencil(WRITING))
    heard: list[Heard] = []
    shell.bench.cued.connect(heard.append)
    shell.bench.refresh()
    assert heard == []
    desk.shown = in_ink(TAKEN)
    shell.bench.refresh()
    said = Heard(Cue.IN_BAND, "four point three eight kilo-ohms, in band")
    assert heard == [said]
    assert shell.bench.number.flashing
    qtbot.waitUntil(lambda: not shell.bench.number.flashing)
    shell.bench.refresh()
    assert heard == [said]


def test_going_back_to_a_taken_step_is_silent(open_bench: OpenBench) -> None:
    """A look back at what was taken long ago neither flashes nor sounds."""
    shell, desk = open_bench(STEADYING)
    heard: list[Heard] = []
    shell.bench.cued.connect(heard.append)
    desk.shown = in_ink(TAKEN)
    shell.bench.refresh()
    assert heard == []


def test_the_big_view_is_number_and_verdict(open_bench: OpenBench) -> None:
    """V hides slip, drawing, ribbon and ruler and takes the whole width; again brings them back."""
    shell, _desk = open_bench(STEADYING)
    bench = shell.bench
    hidden = (bench.slip, bench.sketch, bench.ribbon, bench.panel)
    press(shell, Qt.Key.Key_V)
    assert not any(part.isVisible() for part in hidden)
    assert bench.number.width() > 0.95 * shell.width()
    assert bench.verdict.isVisible()
    press(shell, Qt.Key.Key_V)
    assert all(part.isVisible() for part in hidden)


def test_cautions_stand_in_full_until_the_probes_touch(open_bench: OpenBench) -> None:
    """Before a reading the panel holds them; with one, their first sentences stay in a row."""
    shell, desk = open_bench(CAUTIONED)
    bench = shell.bench
    assert bench.cautions.isVisible()
    assert not bench.panel.isVisible()
    number = bench.number.geometry()
    desk.shown = CAUTIONED_READING
    bench.refresh()
    assert not bench.cautions.isVisible()
    assert bench.panel.isVisible()
    assert bench.caution.isVisible()
    assert bench.number.geometry() == number


@pytest.mark.parametrize(
    "state",
    ["steadying", "look", "look_cautioned", "cannot_tell", "option", "option_cautioned", "closed"],
)
def test_every_target_is_large_enough(open_bench: OpenBench, state: str) -> None:
    """Whatever can be clicked is at least 44 units high and has a name."""
    shell, _desk = open_bench(BENCH_STATES[state])
    targets = [t for t in shell.findChildren(Target) if t.isVisible()]
    assert targets
    for target in targets:
        assert target.height() >= 44 * shell.look.s - 1
        assert target.accessibleName()


def test_a_closed_visit_opens_again_by_its_key(open_bench: OpenBench) -> None:
    """C and the printed O both open it again."""
    shell, desk = open_bench(CLOSED)
    press(shell, Qt.Key.Key_C)
    press(shell, Qt.Key.Key_O)
    assert desk.acts == [("reopen", ""), ("reopen", "")]


def test_many_steps_keep_their_numbers(open_bench: OpenBench) -> None:
    """Twenty-two steps all stand on the ribbon, the current one with its name."""
    shell, _desk = open_bench(replace(STEADYING, ribbon=ribbon(4, 22)))
    targets = [t for t in shell.bench.ribbon.targets if t.isVisible()]
    assert len(targets) == 22
    assert targets[3].width() > 2 * targets[4].width()
    assert targets[-1].geometry().right() <= shell.bench.ribbon.width()


def test_the_pedal_takes_and_enters(open_bench: OpenBench) -> None:
    """The learned pedal takes a reading, and enters what has been typed."""
    shell, desk = open_bench(STEADYING)
    shell.pedal.key = "F13"
    press(shell, Qt.Key.Key_F13)
    desk.shown = NOTING
    shell.bench.refresh()
    shell.bench.entry.field.setText("done")
    press(shell, Qt.Key.Key_F13)
    assert desk.acts == [("take", ""), ("submit", "done")]
    assert desk.shown.ask is Ask.TEXT
