"""The findings page: keys, cursor, forms, the way to the bench and back."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from benchassist.errors import InputError, StepError
from benchassist.services.bench.view import KeyHint
from benchassist.services.findings.view import FindingsView, Room
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.entry import LineField
from benchassist.ui.field_box import FieldBox
from benchassist.ui.page import Turn
from benchassist.ui.part import Target
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenFindings, OpenWindow
from tests.ui.desks import FakeFindings, desks_of
from tests.ui.findings_views import (
    ANSWER_FORM,
    CAUSE,
    CROWDED,
    EVIDENCE,
    FINDINGS_STATES,
    FIVE,
    HIDDEN,
    MOOT,
    NAMED,
    NOTE_FORM,
    PART_FORM,
    PROVE_FORM,
    REPAIR_ROOM,
    STAKE_ROOM,
    STILL_HOT,
    SWAP,
)
from tests.ui.test_bench_page import press
from tests.ui.views import TYPING

CONTROL = Qt.KeyboardModifier.ControlModifier


def keep(shell: Shell) -> None:
    """Ctrl+Enter on whatever has the focus."""
    QTest.keyClick(QApplication.focusWidget() or shell, Qt.Key.Key_Return, CONTROL)


def line(shell: Shell, place: int) -> LineField:
    """The line of a written field of the open form."""
    box = shell.findings.form.boxes[place]
    assert isinstance(box, FieldBox)
    return box.field


# --- the way there and back -----------------------------------------------------------------------


@pytest.mark.parametrize("key", [Qt.Key.Key_Escape, Qt.Key.Key_B])
def test_f_goes_from_the_bench_to_the_findings_and_back(
    open_findings: OpenFindings, key: Qt.Key
) -> None:
    """Esc and B lead back to the bench; it is asked for nothing."""
    shell, desk = open_findings(FIVE)
    press(shell, key)
    assert shell.page is shell.bench
    assert desk.acts == []


def test_both_strips_show_the_way(open_findings: OpenFindings) -> None:
    """F stands on the bench's strip, Esc and F1 on that of the findings."""
    shell, _desk = open_findings(FIVE)
    assert {"Esc", "F1"} <= {t.value.press for t in shell.strip.targets if t.isVisible()}
    press(shell, Qt.Key.Key_Escape)
    hint = next(t for t in shell.strip.targets if t.value.press == "F")
    QTest.mouseClick(hint, Qt.MouseButton.LeftButton)
    assert shell.page is shell.findings


def test_f_is_a_letter_while_a_line_is_typed(open_window: OpenWindow) -> None:
    """What is typed on the bench goes into its line."""
    shell = open_window(bench=TYPING)
    shell.turn(Turn(page="bench", visit_id="v1"))
    press(shell, Qt.Key.Key_F)
    assert shell.page is shell.bench
    assert "F" not in [hint.press for hint in shell.bench.keys.hints]


def test_without_findings_the_bench_says_so(open_window: OpenWindow) -> None:
    """A program without them stays on the bench with one line."""
    shell = open_window()
    assert shell.desks is not None
    shell.desks = replace(shell.desks, findings=None)
    shell.turn(Turn(page="bench", visit_id="v1"))
    press(shell, Qt.Key.Key_F)
    assert shell.page is shell.bench
    assert shell.bench.problem == "There are no findings here"


def test_the_same_visit_goes_on_where_it_was(open_window: OpenWindow) -> None:
    """The desk is asked for once a visit, and anew once the settings were kept."""
    asked: list[str] = []
    desk = FakeFindings(FIVE)
    shell = open_window()
    assert shell.desks is not None

    def given(visit_id: str) -> FakeFindings:
        asked.append(visit_id)
        return desk

    shell.desks = replace(shell.desks, findings=given, renew=lambda: desks_of(findings=NAMED))
    for visit_id in ("v1", "v1", "v2"):
        shell.turn(Turn(page="bench", visit_id=visit_id))
        shell.turn(Turn(page="findings"))
        shell.turn(Turn(page="back"))
    assert asked == ["v1", "v2"]
    shell.renew()
    shell.turn(Turn(page="findings"))
    assert shell.findings.view is NAMED


def test_the_findings_tick_and_repaint_only_what_changed(open_findings: OpenFindings) -> None:
    """An equal view paints nothing anew."""
    shell, desk = open_findings(FIVE)
    QApplication.processEvents()
    shell.grab()
    paints = shell.findings.series.paints
    desk.shown = replace(FIVE)
    shell.tick()
    QApplication.processEvents()
    assert shell.findings.series.paints == paints
    desk.shown = replace(FIVE, series=HIDDEN)
    shell.tick()
    assert "joint in the lead" in shell.findings.series.accessibleName()


# --- keys of the front ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "act"),
    [
        (Qt.Key.Key_Return, ("start_test", "")),
        (Qt.Key.Key_1, ("open_cause", "1")),
        (Qt.Key.Key_9, ("open_cause", "9")),
        (Qt.Key.Key_E, ("open_evidence", "")),
        (Qt.Key.Key_W, ("open_swap", "")),
        (Qt.Key.Key_R, ("open_stake", "")),
        (Qt.Key.Key_F, ("open_repair", "")),
        (Qt.Key.Key_N, ("note", "")),
    ],
)
@pytest.mark.parametrize("printed", [True, False])
def test_keys_of_the_front(
    open_findings: OpenFindings, key: Qt.Key, act: tuple[str, str], *, printed: bool
) -> None:
    """The strip's keys, and the same ones where the desk prints none."""
    shell, desk = open_findings(NAMED if printed else replace(NAMED, keys=()))
    press(shell, key)
    assert desk.acts == [act]


def test_a_key_the_desk_prints_wins(open_findings: OpenFindings) -> None:
    """The strip never lies."""
    hint = KeyHint(press="E", text="Elsewhere", action="open_swap:cap")
    shell, desk = open_findings(replace(FIVE, keys=(hint,)))
    press(shell, Qt.Key.Key_E)
    assert desk.acts == [("open_swap", "cap")]


def test_a_number_without_a_cause_does_nothing(open_findings: OpenFindings) -> None:
    """Five causes, so 6 is no key."""
    shell, desk = open_findings(FIVE)
    press(shell, Qt.Key.Key_6)
    assert desk.acts == []


def test_p_prints_the_slip(open_findings: OpenFindings) -> None:
    """Of the visit on the bench, where Esc then leads."""
    shell, _desk = open_findings(FIVE)
    press(shell, Qt.Key.Key_P)
    assert shell.page is shell.printing
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.bench


def test_the_cursor_brings_later_causes_into_view_and_opens_one(
    open_findings: OpenFindings,
) -> None:
    """Down goes through all of them, Right opens the one it stands on."""
    shell, desk = open_findings(NAMED)
    causes = shell.findings.causes
    hidden = len(NAMED.rows) - sum(t.isVisible() for t in causes.targets)
    assert hidden > 4
    assert f"{hidden} more: Down" in shell.findings.foot.accessibleName()
    for _row in range(14):
        press(shell, Qt.Key.Key_Down)
    names = [t.value.row.name for t in causes.targets if t.isVisible()]
    assert names[-1] == "Crank seal or air leak"
    assert f"{hidden} more: Up" in shell.findings.foot.accessibleName()
    press(shell, Qt.Key.Key_Right)
    assert desk.acts == [("open_cause", "cause_14")]


def test_everything_on_the_front_can_be_clicked(open_findings: OpenFindings) -> None:
    """Row, next test, replace or keep, swap test and repair: each is as large as a finger."""
    shell, desk = open_findings(CROWDED)
    page = shell.findings
    for target in (page.causes.targets[1], page.stake, *page.slims):
        assert min(target.width(), target.height()) >= 44
        QTest.mouseClick(target, Qt.MouseButton.LeftButton)
    assert desk.acts == [
        ("open_cause", "cause_2"),
        ("open_stake", ""),
        ("open_swap", ""),
        ("open_repair", ""),
    ]
    QTest.mouseClick(page.test, Qt.MouseButton.LeftButton)
    assert desk.acts[-1] == ("start_test", "")


# --- where a test leads ---------------------------------------------------------------------------


def test_a_test_of_a_step_leads_to_the_bench(open_findings: OpenFindings) -> None:
    """It stands at its step there."""
    shell, desk = open_findings(FIVE)
    press(shell, Qt.Key.Key_Return)
    assert desk.acts == [("start_test", "")]
    assert shell.page is shell.bench


@pytest.mark.parametrize("opened", [replace(FIVE, form=ANSWER_FORM), SWAP])
def test_a_test_that_opens_a_form_or_a_room_stays(
    open_findings: OpenFindings, opened: FindingsView
) -> None:
    """What is answered by hand, or by a swap, is answered here."""
    shell, desk = open_findings(FIVE)
    desk.after["start_test"] = opened
    press(shell, Qt.Key.Key_Return)
    assert shell.page is shell.findings


def test_a_refused_test_stays_and_says_why(open_findings: OpenFindings) -> None:
    """One line above, and the refusal is heard; the next key clears it."""
    shell, desk = open_findings(FIVE)
    heard: list[Heard] = []
    shell.findings.cued.connect(heard.append)
    desk.refuses = StepError("nothing left to test")
    press(shell, Qt.Key.Key_Return)
    assert shell.page is shell.findings
    assert shell.findings.message.isVisible()
    assert shell.findings.message.accessibleName() == "Nothing left to test"
    assert heard == [Heard(Cue.REFUSED, "Nothing left to test")]
    press(shell, Qt.Key.Key_E)
    assert not shell.findings.message.isVisible()


def test_what_was_done_stands_where_a_problem_would(open_findings: OpenFindings) -> None:
    """Quiet, and a banner takes its place."""
    shell, desk = open_findings(replace(FIVE, message="Kept: a note."))
    assert shell.findings.done.isVisible()
    assert shell.findings.done.accessibleName() == "Kept: a note."
    desk.shown = replace(FIVE, message="Kept: a note.", banner="Not on disk yet: disk full")
    shell.tick()
    assert not shell.findings.done.isVisible()
    assert shell.findings.message.accessibleName() == "Not on disk yet: disk full"


# --- rooms ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("room", [v for v in FINDINGS_STATES.values() if v.room is not Room.FRONT])
def test_esc_leads_out_of_a_room(open_findings: OpenFindings, room: FindingsView) -> None:
    """The form closes first, then the room; the desk does both."""
    shell, desk = open_findings(room)
    press(shell, Qt.Key.Key_Escape)
    assert desk.acts == [("back", "")]
    assert shell.page is shell.findings


def test_only_the_open_room_shows(open_findings: OpenFindings) -> None:
    """The front gives way, and comes back."""
    shell, desk = open_findings(FIVE)
    page = shell.findings
    for view in FINDINGS_STATES.values():
        desk.shown = view
        shell.tick()
        open_rooms = [key for key, room in page.rooms.items() if room.isVisible()]
        front = view.form is None and view.room is Room.FRONT
        assert page.causes.isVisible() is front
        assert page.form.isVisible() is (view.form is not None)
        assert open_rooms == ([] if front or view.form is not None else [view.room])


def test_evidence_is_gone_through_and_overruled(open_findings: OpenFindings) -> None:
    """A says how the row at the cursor turned out, X lifts that word, Right goes to its step."""
    shell, desk = open_findings(EVIDENCE)
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_A)
    press(shell, Qt.Key.Key_X)
    assert desk.acts == [("answer", "dies"), ("lift", "dies")]
    press(shell, Qt.Key.Key_Right)
    assert desk.acts[-1] == ("answer", "dies")
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Right)
    assert desk.acts[-1] == ("go_to_step", "check_1")
    assert shell.page is shell.bench


def test_a_moot_step_can_be_done_all_the_same(open_findings: OpenFindings) -> None:
    """It stands at the end of the list with its reason; Right goes there."""
    shell, desk = open_findings(EVIDENCE)
    for _row in range(40):
        press(shell, Qt.Key.Key_Down)
    shown = [t.words() for t in shell.findings.findChildren(Target) if t.isVisible()]
    assert any(MOOT[-1].reason.rstrip(".") in words for words in shown)
    press(shell, Qt.Key.Key_A)
    assert desk.acts == []
    press(shell, Qt.Key.Key_Right)
    assert desk.acts == [("go_to_step", MOOT[-1].step)]


def test_a_mark_of_a_cause_leads_to_its_step(open_findings: OpenFindings) -> None:
    """The largest first; what was only said leads to its answer. A number opens another cause."""
    shell, desk = open_findings(CAUSE)
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Right)
    assert desk.acts == [("answer", "evidence_C")]
    press(shell, Qt.Key.Key_3)
    assert desk.acts[-1] == ("open_cause", "3")
    press(shell, Qt.Key.Key_Up)
    press(shell, Qt.Key.Key_Right)
    assert desk.acts[-1] == ("go_to_step", "check_8")
    assert shell.page is shell.bench


@pytest.mark.parametrize("printed", [True, False])
def test_runs_of_a_swap_test_have_a_key_each(open_findings: OpenFindings, *, printed: bool) -> None:
    """Old with fault, new clean, new with fault, old clean; the tiles do the same."""
    shell, desk = open_findings(SWAP if printed else replace(SWAP, keys=()))
    for key in (Qt.Key.Key_1, Qt.Key.Key_2, Qt.Key.Key_3, Qt.Key.Key_4, Qt.Key.Key_S):
        press(shell, key)
    acts = ["old_fault", "new_clean", "new_fault", "old_clean"]
    assert [act for act, _argument in desk.acts] == [*acts, "swap_setup"]
    desk.acts.clear()
    room = shell.findings.rooms[Room.SWAP]
    for target in room.findChildren(Target):
        QTest.mouseClick(target, Qt.MouseButton.LeftButton)
    assert [act for act, _argument in desk.acts] == acts


@pytest.mark.parametrize(
    ("view", "key", "act"),
    [
        (STAKE_ROOM, Qt.Key.Key_Return, "stake_figures"),
        (STAKE_ROOM, Qt.Key.Key_D, "decide"),
        (REPAIR_ROOM, Qt.Key.Key_P, "fit_part"),
        (REPAIR_ROOM, Qt.Key.Key_S, "service"),
        (REPAIR_ROOM, Qt.Key.Key_A, "prove"),
    ],
)
@pytest.mark.parametrize("printed", [True, False])
def test_keys_of_stake_and_repair(
    open_findings: OpenFindings, view: FindingsView, key: Qt.Key, act: str, *, printed: bool
) -> None:
    """Figures, choice; part, service, acceptance run."""
    shell, desk = open_findings(view if printed else replace(view, keys=()))
    press(shell, key)
    assert desk.acts == [(act, "")]


# --- forms ----------------------------------------------------------------------------------------


def test_a_form_is_filled_by_keyboard_alone(open_findings: OpenFindings) -> None:
    """A number answers, Enter goes on, Ctrl+Enter keeps; the form closes."""
    shell, desk = open_findings(replace(EVIDENCE, form=ANSWER_FORM))
    desk.after["submit"] = EVIDENCE
    press(shell, Qt.Key.Key_2)
    press(shell, Qt.Key.Key_Return)
    QTest.keyClicks(line(shell, 1), "seen twice")
    keep(shell)
    assert desk.kept == [{"outcome": "isolated", "reason": "seen twice"}]
    assert not shell.findings.form.isVisible()
    press(shell, Qt.Key.Key_Down)
    assert shell.findings.at == 1


def test_enter_past_the_last_field_keeps(open_findings: OpenFindings) -> None:
    """A note is one line and Enter."""
    shell, desk = open_findings(replace(FIVE, form=NOTE_FORM))
    QTest.keyClicks(line(shell, 0), "belt squeals")
    press(shell, Qt.Key.Key_Return)
    assert desk.kept == [{"text": "belt squeals"}]


def test_answers_past_nine_have_letters(open_findings: OpenFindings) -> None:
    """A is the tenth, and Right the one beside."""
    shell, desk = open_findings(replace(REPAIR_ROOM, form=PART_FORM))
    press(shell, Qt.Key.Key_A)
    keep(shell)
    assert desk.kept[-1]["part"] == "unloader"
    press(shell, Qt.Key.Key_Right)
    keep(shell)
    assert desk.kept[-1]["part"] == "exhaust screen"
    assert desk.kept[-1]["old_kept"] == "yes"


def test_a_refused_form_stays_with_what_was_typed(open_findings: OpenFindings) -> None:
    """The reason stands above; ticks leave the line alone."""
    shell, desk = open_findings(replace(REPAIR_ROOM, form=PROVE_FORM))
    desk.refuses = InputError("minutes run: 'x' is not a number of minutes above 0")
    QTest.keyClicks(line(shell, 0), "x")
    keep(shell)
    shell.tick()
    assert shell.findings.message.accessibleName().startswith("minutes run: 'x'")
    assert line(shell, 0).text() == "x"
    assert line(shell, 0).hasFocus()


def test_another_form_begins_empty(open_findings: OpenFindings) -> None:
    """A form that was left has forgotten what was typed."""
    shell, desk = open_findings(replace(FIVE, form=NOTE_FORM))
    desk.after["back"] = FIVE
    QTest.keyClicks(line(shell, 0), "belt")
    press(shell, Qt.Key.Key_Escape)
    assert desk.acts == [("back", "")]
    desk.shown = replace(FIVE, form=NOTE_FORM)
    shell.tick()
    assert line(shell, 0).text() == ""


def test_cautions_of_a_test_stand_in_its_form(open_findings: OpenFindings) -> None:
    """Where the work is answered they are in full."""
    shell, _desk = open_findings(replace(EVIDENCE, form=ANSWER_FORM))
    assert shell.findings.form.cautions.isVisible()
    assert STILL_HOT in shell.findings.form.cautions.accessibleName()
