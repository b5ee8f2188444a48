from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from benchassist.core.link import LinkRequest
from benchassist.errors import StepError
from benchassist.paint import lettering
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.desk import MatchView
from benchassist.services.metering.match_trial import MatchTrial
from benchassist.services.metering.meter import Meter
from benchassist.services.metering.meter_memory import MeterMemory
from benchassist.services.metering.meters_page import MetersPage
from benchassist.services.settings import Settings
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.match_row import Slot
from benchassist.ui.page import Turn
from benchassist.ui.part import Part
from benchassist.ui.shell import Shell
from benchassist.units import UnitChoice
from tests.services.fakes import PLAIN, FakeClock, FakeRoom
from tests.ui.conftest import OpenBench, OpenWindow
from tests.ui.desks import FakeMatch, FakeMeters
from tests.ui.test_bench_page import press
from tests.ui.views import (
    MATCH_DONE,
    MATCH_EMPTY,
    MATCH_MISS,
    MATCH_SILENT,
    MATCH_TWO,
    MATCH_WRONG,
    MATCHES,
    METERS_LIVE,
    STEADYING,
    UNMATCHED,
)


def matching(open_window: OpenWindow, view: MatchView = MATCH_EMPTY) -> tuple[Shell, FakeMatch]:
    """The match page of meter A."""
    desk = FakeMatch(view)
    shell = open_window(match=desk, meters=METERS_LIVE)
    shell.turn(Turn(page="match"))
    desk.calls.clear()
    return shell, desk


def type_in(shell: Shell, text: str) -> None:
    """Type on whatever has the focus."""
    QTest.keyClicks(QApplication.focusWidget() or shell, text)


def slots(shell: Shell) -> list[Slot]:
    """What the three rows are."""
    return [slot.value.slot for slot in shell.match.slots]


def test_what_is_typed_is_handed_on_at_enter(open_window: OpenWindow) -> None:
    """Digits go into the line at once; Enter hands them over, Backspace rubs out, U asks a unit."""
    shell, desk = matching(open_window)
    type_in(shell, "4.77")
    press(shell, Qt.Key.Key_Backspace)
    press(shell, Qt.Key.Key_U)
    assert desk.calls == [("unit",)]
    desk.then = [MATCH_TWO]
    press(shell, Qt.Key.Key_Return)
    assert desk.calls == [("unit",), ("submit", "4.7")]
    assert shell.match.field.text() == ""


def test_an_empty_line_is_not_handed_on(open_window: OpenWindow) -> None:
    """Enter with nothing typed asks nothing."""
    shell, desk = matching(open_window)
    press(shell, Qt.Key.Key_Return)
    assert desk.calls == []


def test_keys_work_without_the_line(open_window: OpenWindow) -> None:
    """A click elsewhere loses no digit: every key still does what the strip says."""
    shell, desk = matching(open_window)
    for keys, calls in (
        ((Qt.Key.Key_U,), [("unit",)]),
        ((Qt.Key.Key_4, Qt.Key.Key_Backspace), []),
        ((Qt.Key.Key_7, Qt.Key.Key_Return), [("submit", "7")]),
    ):
        desk.calls.clear()
        for key in keys:
            shell.match.setFocus()
            press(shell, key)
        assert desk.calls == calls


def test_z_zeroes_the_leads_while_nothing_is_typed(open_window: OpenWindow) -> None:
    """In a unit it is a letter, and then the strip does not offer it."""
    meters = FakeMeters(METERS_LIVE)
    shell = open_window(meters=meters)
    shell.turn(Turn(page="match"))
    press(shell, Qt.Key.Key_Z)
    assert meters.calls == [("zero",)]
    assert "Z" in {hint.press for hint in shell.match.keys.hints}
    type_in(shell, "50 Hz")
    assert shell.match.field.text() == "50 Hz"
    assert meters.calls == [("zero",)]
    assert "Z" not in {hint.press for hint in shell.match.keys.hints}


def test_a_zero_that_is_refused_is_one_line(open_window: OpenWindow) -> None:
    """What the leads lack is said where one is working."""
    shell, _desk = matching(open_window)
    meters = shell.match._meters
    assert isinstance(meters, FakeMeters)

    def refuse() -> None:
        raise StepError("the probes are apart: touch them together, then press Z")

    object.__setattr__(meters, "zero", refuse)
    press(shell, Qt.Key.Key_Z)
    assert "The probes are apart" in shell.match.message.accessibleName()


def test_rows_say_same_or_the_cause(open_window: OpenWindow) -> None:
    """What was typed, what the link says and what that means stand in words."""
    shell, _desk = matching(open_window, MATCH_MISS)
    same, other, typing = (slot.accessibleName() for slot in shell.match.slots)
    assert same == "1. You typed 12.47 V. Link says 12.47 V. Same"
    assert "You typed 618 Ω. Link says 61.8 Ω. The point is elsewhere" in other
    assert "covered till you press Enter" in typing
    assert slots(shell) == [Slot.DONE, Slot.DONE, Slot.TYPING]


def test_rows_to_come_are_there_from_the_start(open_window: OpenWindow) -> None:
    """Three values are wanted, and one sees that."""
    shell, _desk = matching(open_window)
    assert slots(shell) == [Slot.TYPING, Slot.COMING, Slot.COMING]
    assert [slot.value.number for slot in shell.match.slots] == [1, 2, 3]


def test_a_silent_link_says_so_under_the_cover(open_window: OpenWindow) -> None:
    """Nothing comes in: no value is typed against it in vain."""
    shell, _desk = matching(open_window, MATCH_SILENT)
    assert "nothing comes in" in shell.match.slots[2].accessibleName()


def test_a_value_that_is_refused_stays_in_the_line(open_window: OpenWindow) -> None:
    """It can be put right; the reason stands above."""
    shell, desk = matching(open_window, MATCH_TWO)
    heard: list[Heard] = []
    shell.match.cued.connect(heard.append)
    desk.then = [MATCH_WRONG]
    type_in(shell, "618")
    press(shell, Qt.Key.Key_Return)
    assert shell.match.field.text() == "618"
    assert "matched already" in shell.match.message.accessibleName()
    assert [h.cue for h in heard] == [Cue.REFUSED]


def test_same_and_other_sound_apart(open_window: OpenWindow) -> None:
    """A value that agrees and one that does not are told without looking."""
    shell, desk = matching(open_window)
    heard: list[Heard] = []
    shell.match.cued.connect(heard.append)
    desk.then = [MATCH_MISS, MATCH_DONE]
    for text in ("618", "4.70"):
        type_in(shell, text)
        press(shell, Qt.Key.Key_Return)
    assert [h.cue for h in heard] == [Cue.REFUSED, Cue.TAKEN]
    assert heard[0].text == MATCH_MISS.rows[-1].text
    assert heard[1].text == MATCH_DONE.note


def test_when_done_enter_goes_on(open_bench: OpenBench) -> None:
    """F5 comes from the bench; once three agree the page says so and Enter leads back."""
    shell, _bench = open_bench(STEADYING)
    assert shell.desks is not None
    desk = FakeMatch(MATCH_TWO)
    object.__setattr__(shell.desks, "match", desk)
    press(shell, Qt.Key.Key_F5)
    assert shell.page is shell.match
    assert ("begin",) in desk.calls
    desk.then = [MATCH_DONE]
    type_in(shell, "4.70")
    press(shell, Qt.Key.Key_Return)
    assert shell.page is shell.match
    assert "hands-free from now on" in shell.match.telling.accessibleName()
    assert not shell.match.field.isVisible()
    press(shell, Qt.Key.Key_Return)
    assert shell.page is shell.bench


def test_the_bench_offers_the_match(open_bench: OpenBench) -> None:
    """Where the link is not matched, its key stands on the strip; a click is the key."""
    shell, _bench = open_bench(UNMATCHED)
    assert [t.value.press for t in shell.strip.targets[:2]] == ["Space", "F5"]
    QTest.mouseClick(shell.strip.targets[1], Qt.MouseButton.LeftButton)
    assert shell.page is shell.match
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.bench


def test_escape_leaves_for_now_and_keys_come_back(open_window: OpenWindow) -> None:
    """Esc goes back to where one was; the keys page in between loses nothing."""
    shell, desk = matching(open_window, MATCH_TWO)
    type_in(shell, "4.7")
    press(shell, Qt.Key.Key_F1)
    assert shell.page is shell.keys
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.match
    assert shell.match.field.text() == "4.7"
    assert desk.calls == []
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter


def test_the_strip_is_clicked_like_its_keys(open_window: OpenWindow) -> None:
    """Check, rub out, change unit, zero, leave."""
    shell, desk = matching(open_window)
    shell.match.field.setText("47")
    for name in ("Backspace", "Enter", "U"):
        target = next(t for t in shell.strip.targets if t.value.press == name)
        QTest.mouseClick(target, Qt.MouseButton.LeftButton)
    assert desk.calls == [("submit", "4"), ("unit",)]
    QTest.mouseClick(shell.match.leave, Qt.MouseButton.LeftButton)
    assert shell.page is shell.counter


def test_the_thermometer_is_matched_in_degrees(open_window: OpenWindow) -> None:
    """Its own desk, its own name, no leads; bare numbers are degrees."""
    shell = open_window()
    assert shell.desks is not None
    desk = shell.desks.match_thermometer
    assert isinstance(desk, FakeMatch)
    units = iter(("Ω", "°C"))

    def turned() -> None:
        desk.shown = replace(desk.shown, unit=next(units))

    object.__setattr__(desk, "next_unit", turned)
    shell.turn(Turn(page="match", second=True))
    assert shell.match.title.value.title == "Match the thermometer"
    assert shell.match.slots[0].value.unit == "°C"
    assert "Z" not in {hint.press for hint in shell.match.keys.hints}
    assert "Leads" not in shell.match.card.accessibleName()


def test_a_window_without_the_desk_says_so(open_window: OpenWindow) -> None:
    """No meter to match is one line on the page one is on."""
    shell = open_window()
    assert shell.desks is not None
    object.__setattr__(shell.desks, "match", None)
    shell.turn(Turn(page="match"))
    assert shell.page is shell.counter
    assert "no meter here" in shell.counter.message.accessibleName()


# --- with the use case behind it --------------------------------------------------------------


class Bench:
    """A linked meter that shows one value, and the page of its match."""

    def __init__(self, path: Path, open_window: OpenWindow) -> None:
        self.clock, self.room = FakeClock(), FakeRoom()
        memory = MeterMemory(path)
        self.meter = Meter(self.room, self.clock, (), MeterSetup(), memory=memory)
        self.meter.connect(LinkRequest(port="socket://192.0.2.7:5025", protocol="nibble-14"))
        self.t = 0.0
        self.shell = open_window(
            match=MatchTrial(self.meter, self.clock, UnitChoice()),
            meters=MetersPage(
                room=self.room,
                meter=self.meter,
                clock=self.clock,
                settings=Settings(),
                file=None,
                units=UnitChoice(),
            ),
        )

    def show(self, ohm: float) -> None:
        """The meter sends the same value for a second, and the page ticks."""
        for _ in range(4):
            self.t += 0.25
            self.clock.pass_by(0.25)
            self.room.links[-1].items.append(replace(PLAIN, t_s=self.t, value=ohm))
            self.shell.tick()


@pytest.fixture
def bench(tmp_path: Path, open_window: OpenWindow) -> Iterator[Bench]:
    """Linked, its page in front."""
    made = Bench(tmp_path / "meters.json", open_window)
    made.shell.turn(Turn(page="match"))
    yield made
    made.meter.disconnect()


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every text that is painted from here on."""
    texts: list[str] = []
    draw = lettering.draw

    def noted(
        painter: QPainter, x: float, baseline: float, text: str, style: lettering.Style
    ) -> object:
        texts.append(text)
        return draw(painter, x, baseline, text, style)

    monkeypatch.setattr(lettering, "draw", noted)
    return texts


def said(shell: Shell) -> str:
    """All accessible names of the page, bar and strip."""
    return " ".join(part.accessibleName() for part in shell.findChildren(Part) if part.isVisible())


def test_the_links_value_is_covered_until_enter(bench: Bench, written: list[str]) -> None:
    """Neither painted nor told to a screen reader before Enter; both after it."""
    bench.show(3860.0)
    bench.shell.grab()
    assert written
    assert not any("3.86" in text or "3860" in text for text in written)
    assert "3.86" not in said(bench.shell)
    assert "covered till you press Enter" in written
    type_in(bench.shell, "3.8")
    bench.show(3860.0)
    bench.shell.grab()
    assert not any("3.86" in text for text in written)
    press(bench.shell, Qt.Key.Key_Return)
    bench.shell.grab()
    assert any("3.86" in text for text in written)
    assert "Link says 3.86" in said(bench.shell)


def test_three_typed_values_let_the_meter_take_by_itself(bench: Bench) -> None:
    """From keys alone: the whole match, its note, and the way back."""
    for ohm, text in ((3860.0, "3.860"), (618.0, "0.618"), (12470.0, "12.470")):
        bench.show(ohm)
        type_in(bench.shell, text)
        press(bench.shell, Qt.Key.Key_Return)
        bench.clock.pass_by(5.0)
    assert bench.shell.match.title.value.step_text == "3 of 3 matched"
    assert slots(bench.shell) == [Slot.DONE] * 3
    assert bench.meter.may_take_by_itself
    press(bench.shell, Qt.Key.Key_Return)
    assert bench.shell.page is bench.shell.counter


def test_a_display_matched_before_says_so(open_window: OpenWindow) -> None:
    """It takes by itself already: nothing here claims that a key takes until then."""
    shell, _desk = matching(open_window, MATCHES["again"][0])
    assert shell.match.leave.accessibleName() == "Esc. Leave for now. display matched"
    assert shell.match.note.accessibleName() == "Matched before, on 9 Jun 2026."
